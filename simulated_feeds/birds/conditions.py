"""What an egg or chick lives through, day by day, and what is made of it. Pure.

A day is what ``AirDay`` holds of a box: where a box has no air of its own, the shed's. The low
of a night is the lowest temperature of the day's dark minutes. Damp are minutes in which the
shed's coldest surface is less than a kelvin above the dew point of its air. Limits: model.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from simulated_feeds.day import AirDay, Minutes

DARK_LX = 20.0
COLD_C = 17.0
DAMP_MARGIN_K = 1.0
WINDOW_DAYS = 6
REARING_DAYS = 14


class Outcome(StrEnum):
    """What may become of an egg, in its order; each is asked only where the last was yes."""

    FERTILE = "fertile"
    HATCHED = "hatched"
    FLEDGED = "fledged"


class Condition(StrEnum):
    """What may matter. Means over the days of a window, unless the line says otherwise."""

    # Of an egg's fertility: the six days before it was laid.
    NIGHT_LOW_LAYING = "night low before laying"  # °C
    LIGHT_HOURS_LAYING = "light hours before laying"  # h a day
    # Of its hatching.
    NIGHT_LOW_SITTING = "night low in days 1 to 6 of sitting"  # °C; its own days under the hen
    DAMP_HOURS_SITTING = "damp hours of sitting"  # h a day, all days under the hen
    WATER_LOSS = "water lost by the egg"  # share of its fresh mass, until hatching
    CHILLED_HOURS = "chilled hours of sitting"  # h in all below what it grows at
    # Of a chick's leaving: its first fourteen days.
    NIGHT_LOW_REARING = "night low in rearing"  # °C
    COLD_HOURS_REARING = "cold hours in rearing"  # h a day below 17 °C in the box
    DAMP_HOURS_REARING = "damp hours in rearing"  # h a day


OUTCOME_CONDITIONS: dict[Outcome, tuple[Condition, ...]] = {
    Outcome.FERTILE: (Condition.NIGHT_LOW_LAYING, Condition.LIGHT_HOURS_LAYING),
    Outcome.HATCHED: (
        Condition.NIGHT_LOW_SITTING,
        Condition.DAMP_HOURS_SITTING,
        Condition.WATER_LOSS,
        Condition.CHILLED_HOURS,
    ),
    Outcome.FLEDGED: (
        Condition.NIGHT_LOW_REARING,
        Condition.COLD_HOURS_REARING,
        Condition.DAMP_HOURS_REARING,
    ),
}


@dataclass(frozen=True, slots=True)
class Lived:
    """One day in one box. ``night_low_c`` is NaN where the day had no dark minute.

    ``day_c`` is the mean of the lit minutes, or of all where there was no light.
    """

    night_low_c: float
    cold_h: float
    damp_h: float
    light_h: float
    day_c: float


@dataclass(slots=True)
class Gathered:
    """Sums over the days of a window so far; NaN while there is nothing to divide."""

    days: int = 0
    nights: int = 0
    night_low_sum: float = 0.0
    cold_h: float = 0.0
    damp_h: float = 0.0
    light_h: float = 0.0

    def add(self, day: Lived) -> None:
        """One more day."""
        self.days += 1
        self.cold_h += day.cold_h
        self.damp_h += day.damp_h
        self.light_h += day.light_h
        if not math.isnan(day.night_low_c):
            self.nights += 1
            self.night_low_sum += day.night_low_c

    @property
    def night_low_c(self) -> float:
        """Mean of the nights' lows [°C]."""
        return self.night_low_sum / self.nights if self.nights else math.nan

    @property
    def cold_h_a_day(self) -> float:
        """Cold hours [h a day]."""
        return self.cold_h / self.days if self.days else math.nan

    @property
    def damp_h_a_day(self) -> float:
        """Damp hours [h a day]."""
        return self.damp_h / self.days if self.days else math.nan

    @property
    def light_h_a_day(self) -> float:
        """Hours of light [h a day]."""
        return self.light_h / self.days if self.days else math.nan


@dataclass(frozen=True, slots=True)
class SharedDay:
    """What a day had in store for all boxes alike: ``dark`` minutes, damp and lit hours."""

    air: AirDay
    dark: NDArray[np.bool_]
    damp_h: float
    light_h: float


def shared_day(air: AirDay) -> SharedDay:
    """What is the same for every box of a shed."""
    dark = air.light_lx < DARK_LX
    return SharedDay(
        air=air,
        dark=dark,
        damp_h=float(np.count_nonzero(_dew_margin_k(air) < DAMP_MARGIN_K)) / 60,
        light_h=float(np.count_nonzero(~dark)) / 60,
    )


def lived(day: SharedDay, box: str) -> Lived:
    """What the day was like in a box."""
    own = day.air.boxes.get(box)
    temperature = day.air.temperature_c if own is None else own.temperature_c
    night = temperature[day.dark]
    waking = temperature[~day.dark]
    return Lived(
        night_low_c=float(night.min()) if night.size else math.nan,
        cold_h=float(np.count_nonzero(temperature < COLD_C)) / 60,
        damp_h=day.damp_h,
        light_h=day.light_h,
        day_c=float((waking if waking.size else night).mean()),
    )


def _dew_margin_k(air: AirDay) -> Minutes:
    """How far the coldest surface is above the air's dew point [K].

    Tetens turned round (the constants as in ``moist_air``, from memory).
    """
    logs = np.log(np.maximum(air.vapour_pa, 1.0) / 610.78)
    dew_point_c = 237.3 * logs / (17.2693882 - logs)
    margin: Minutes = air.surface_c - dew_point_c
    return margin
