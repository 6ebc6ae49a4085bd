"""What was truly the case with eggs and chicks, whatever anybody saw of it.

Names of clutches are ``pair.round``, of eggs and their chicks ``pair.round.number``; pairs are
counted from 1 in the order in which they were given. Instants are UTC; what has not happened
(yet) is None. Conditions that were never lived through are absent.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from simulated_feeds.birds.conditions import Condition


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """The keeper took it from one box into another."""

    at: datetime
    from_box: str
    to_box: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChickTruth:
    """A chick. ``masses`` are (age in days, grams), one a day until it left or died.

    ``fate`` is died, fledged or weaned, as far as it is settled. ``chance`` is that of leaving
    the box alive, by all it lived through. ``early``: out long before its time.
    """

    hatched_at: datetime
    rank: int
    ring: str | None
    fate: str | None
    died_at: datetime | None
    left_at: datetime | None
    weaned_at: datetime | None
    early: bool
    hatch_g: float
    peak_g: float
    masses: tuple[tuple[float, float], ...]
    conditions: Mapping[Condition, float]
    chance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EggTruth:
    """An egg. ``fate`` is a word of the nest book, of what it truly was.

    ``grew_from`` is when it was both laid and sat on, ``died_at`` when the embryo died,
    ``ended_at`` when the egg was no more in a nest (hatched, broken, taken out). ``chance`` is
    that of hatching if fertile, by all it lived through.
    """

    name: str
    number: int
    laid_at: datetime
    length_mm: float
    breadth_mm: float
    fresh_g: float
    mass_g: float
    fertile: bool
    fertile_chance: float
    grew_from: datetime | None
    fate: str | None
    died_at: datetime | None
    ended_at: datetime | None
    moves: tuple[Moved, ...]
    conditions: Mapping[Condition, float]
    chance: float
    chick: ChickTruth | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutchTruth:
    """One sitting of one pair. Effects are those of hen, cock and clutch, in log-odds.

    ``entered_at`` is when the hen first went into the box in this round. ``bedding_left_g`` is
    what lay there at the first egg, ``cleared`` whether that is little.
    """

    name: str
    box: str
    cage: str
    cock: int
    hen: int
    round: int
    entered_at: datetime
    sitting_from: datetime | None
    bedding_left_g: float
    cleared: bool
    hen_effect: float
    cock_effect: float
    clutch_effect: float
    over_at: datetime | None
    eggs: tuple[EggTruth, ...]
