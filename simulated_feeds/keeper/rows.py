"""The keeper's book as rows, one type a table. Field names are the columns of the CSV files.

Numbers are the book's own, given in the order in which the keeper came to write: pairs by their
putting up, clutches and eggs by the look that found them.
"""

from dataclasses import dataclass
from datetime import date, datetime

from simulated_feeds.keeper.values import NestCheck


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdRow:
    """A bird of the keeper's own."""

    bird: int
    ring: str | None
    name: str | None
    sex: str
    variety: str | None
    hatched_on: date | None
    sire: int | None
    dam: int | None
    place: str | None
    life: str = "alive"
    life_since: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonRow:
    """A breeding season."""

    season: int
    name: str
    began_on: date
    closed_on: date | None = None
    closed_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRow:
    """A cock and a hen put up in a cage."""

    pair: int
    cage: str
    cock: int
    hen: int
    put_up_on: date
    ended_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutchRow:
    """One sitting."""

    clutch: int
    box: str
    pair: int
    round: int
    sitting_from: datetime | None = None
    hide_in_at: datetime | None = None
    closed_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EggRow:
    """An egg: laid between the last look without it and the first with it."""

    egg: int
    clutch: int
    number: int
    laid_from: datetime
    laid_to: datetime
    length_mm: float | None = None
    breadth_mm: float | None = None
    candling: str | None = None
    candled_at: datetime | None = None
    fate: str | None = None
    fate_from: datetime | None = None
    fate_to: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChickRow:
    """A chick."""

    chick: int
    egg: int
    hatched_from: datetime
    hatched_to: datetime
    ring: str | None = None
    ringed_at: datetime | None = None
    fate: str | None = None
    fate_at: datetime | None = None
    bird: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRow:
    """An egg went into another box."""

    move: int
    egg: int
    at: datetime
    from_box: str
    to_box: str
    why: str = ""
    by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighingRow:
    """A mass off the hand scale."""

    weighing: int
    egg: int | None
    bird: int | None
    at: datetime
    mass_g: float
    by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow:
    """A look as told, the pair and clutch that it belongs to, and what came of it."""

    check: int
    told: NestCheck
    pair: int | None
    clutch: int | None
    changes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """All that the keeper wrote down; each table in the order of its numbers.

    ``egg_numbers`` says which row is which true egg.
    """

    birds: tuple[BirdRow, ...] = ()
    seasons: tuple[SeasonRow, ...] = ()
    pairs: tuple[PairRow, ...] = ()
    clutches: tuple[ClutchRow, ...] = ()
    eggs: tuple[EggRow, ...] = ()
    chicks: tuple[ChickRow, ...] = ()
    moves: tuple[MoveRow, ...] = ()
    weighings: tuple[WeighingRow, ...] = ()
    checks: tuple[CheckRow, ...] = ()
    egg_numbers: tuple[tuple[str, int], ...] = ()
