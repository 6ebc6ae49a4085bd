"""One simulated day, as the parts of the shed hand it to each other.

A day is 1,440 minutes from the scenario's start on: element ``k`` of every array holds for the
instant ``at + k`` minutes [UTC]. Days follow each other without a gap; nothing but a part's own
state reaches from one into the next, so memory stays constant however long the season.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

MINUTES = 1440
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)

Minutes = NDArray[np.float64]
"""1,440 numbers, one a minute."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutdoorDay:
    """The weather. ``cloud`` from 0 (clear) to 1; ``sun_w_m2`` global on the level."""

    at: datetime
    temperature_c: Minutes
    dew_point_c: Minutes
    cloud: Minutes
    wind_m_s: Minutes
    sun_w_m2: Minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxAir:
    """The air in a nest box."""

    temperature_c: Minutes
    vapour_pa: Minutes


@dataclass(frozen=True, slots=True, kw_only=True)
class AirDay:
    """The air and light in the shed as no sensor knows them.

    ``surface_c`` is the coldest inner surface and ``condensate_g`` the water on it.
    ``lamp_share`` runs from 0 (dark) to 1; ``mains`` is 0 while the power is cut, else 1.
    """

    at: datetime
    outdoors: OutdoorDay
    temperature_c: Minutes
    vapour_pa: Minutes
    surface_c: Minutes
    condensate_g: Minutes
    lamp_share: Minutes
    light_lx: Minutes
    heater_w: Minutes
    mains: Minutes
    boxes: Mapping[str, BoxAir]


class Who(StrEnum):
    """Of a pair."""

    COCK = "cock"
    HEN = "hen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """A bird is in the box, ``since <= t < until`` [UTC], within one day."""

    who: Who
    since: datetime
    until: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """The keeper has the lid up: a hand in the box, and the scale shakes."""

    since: datetime
    until: datetime


class Kind(StrEnum):
    """What truly happens in a nest. Words of fates are those of the nest book.

    A chick that died lies in the box until the keeper has it ``TAKEN_OUT``.
    """

    EGG_LAID = "egg laid"
    SITTING_BEGAN = "sitting began"
    EGG_LOST = "egg lost"
    HATCHED = "hatched"
    CHICK_DIED = "chick died"
    LEFT_THE_BOX = "left the box"
    WEANED = "weaned"
    MOVED_OUT = "moved out"
    MOVED_IN = "moved in"
    BEDDING_OUT = "bedding out"
    BEDDING_IN = "bedding in"
    DROPPINGS_OUT = "droppings out"
    TAKEN_OUT = "taken out"


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """``egg`` names the egg or its chick, ``grams`` what the box gains by it (less: negative).

    ``why`` is a fate ("clear", "broken", ...) or the box that an egg or chick came from or
    went to.
    """

    at: datetime
    kind: Kind
    box: str
    egg: str | None = None
    grams: float = 0.0
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NestDay:
    """One box: who was in it, and what lay in it, minute by minute [g].

    ``stays`` are in time order and, for one bird, do not overlap. ``bedding_g`` counts what
    lies on the floor, ``brood_g`` the chicks in the box, ``droppings_g`` theirs, ``eggs_g`` all
    eggs there (they lose water). ``warm_share`` is 0 to 1: how much the nest is warmed from
    within, by hen and chicks.
    """

    at: datetime
    box: str
    stays: tuple[Stay, ...] = ()
    handled: tuple[Handling, ...] = ()
    events: tuple[Event, ...] = ()
    hen_g: float = 0.0
    cock_g: float = 0.0
    bedding_g: Minutes = field(default_factory=lambda: np.zeros(MINUTES))
    eggs_g: Minutes = field(default_factory=lambda: np.zeros(MINUTES))
    brood_g: Minutes = field(default_factory=lambda: np.zeros(MINUTES))
    droppings_g: Minutes = field(default_factory=lambda: np.zeros(MINUTES))
    warm_share: Minutes = field(default_factory=lambda: np.zeros(MINUTES))


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedDay:
    """All of one day."""

    air: AirDay
    nests: tuple[NestDay, ...]
