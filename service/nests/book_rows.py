"""The nest book as plain rows, one type a table: the shape in which it is carried elsewhere.

A field is a column of the book's CSV files and bears its name. ``BirdId`` and its like are the
numbers by which rows speak of each other; a row's first field is its own number, unless the
table has another key. None is "nothing noted".
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, TypeVar, cast
from uuid import UUID

from service.nests.book_correction import Subject
from service.nests.nest import (
    BeddingLevel,
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    EggCandled,
    EggFate,
    EggLost,
    GuestSeen,
    HenSeen,
    Life,
    Sex,
    Weighed,
)
from service.nests.place import PlaceKind


@dataclass(frozen=True, slots=True)
class Of:
    """A number or word that stands for a row of another table."""

    table: str


PlaceId = Annotated[str, Of("places")]
BirdId = Annotated[int, Of("birds")]
SeasonId = Annotated[int, Of("seasons")]
PairId = Annotated[int, Of("pairs")]
ClutchId = Annotated[int, Of("clutches")]
EggId = Annotated[int, Of("eggs")]
ItemId = Annotated[int, Of("fit_out_items")]


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRow:
    """A row of any table."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdRow(BookRow):
    """A bird with its parents."""

    bird: int
    ring: str | None = None
    name: str | None = None
    sex: Sex
    variety: str | None = None
    hatched_on: date | None = None
    sire: BirdId | None = None
    dam: BirdId | None = None
    place: PlaceId | None = None
    life: Life = Life.ALIVE
    life_since: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionNoteRow(BookRow):
    """What was noted of a bird's condition on a day."""

    note: int
    bird: BirdId
    on: date
    text: str
    by: str | None = None
    noted_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonRow(BookRow):
    """A breeding season."""

    season: int
    name: str
    began_on: date
    closed_on: date | None = None
    closed_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PairRow(BookRow):
    """A cock and a hen put up in a cage."""

    pair: int
    cage: PlaceId
    cock: BirdId
    hen: BirdId
    put_up_on: date
    ended_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClutchRow(BookRow):
    """One sitting of a pair."""

    clutch: int
    box: PlaceId
    pair: PairId
    round: int
    sitting_from: datetime | None = None
    hide_in_at: datetime | None = None
    closed_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EggRow(BookRow):
    """An egg; ``number`` is its place in laying order."""

    egg: int
    clutch: ClutchId
    number: int
    laid_from: datetime
    laid_to: datetime
    length_mm: float | None = None
    breadth_mm: float | None = None
    candling: Candling | None = None
    candled_at: datetime | None = None
    fate: EggFate | None = None
    fate_from: datetime | None = None
    fate_to: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChickRow(BookRow):
    """The chick out of an egg; ``bird`` is what it became in the book."""

    chick: int
    egg: EggId
    hatched_from: datetime
    hatched_to: datetime
    ring: str | None = None
    ringed_at: datetime | None = None
    fate: ChickFate | None = None
    fate_at: datetime | None = None
    bird: BirdId | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRow(BookRow):
    """An egg, or its chick, went into another box."""

    move: int
    egg: EggId
    at: datetime
    from_box: PlaceId
    to_box: PlaceId
    why: str = ""
    by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighingRow(BookRow):
    """A mass of an egg, its chick, or a grown bird."""

    weighing: int
    egg: EggId | None = None
    bird: BirdId | None = None
    at: datetime
    mass_g: float
    by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckRow(BookRow):
    """One look into a box, as told, with what came of it.

    ``pair`` and ``clutch`` are those that the look belongs to. The last of ``changes`` was
    the last told.
    """

    check: int
    form: UUID
    box: PlaceId
    at: datetime
    pair: PairId | None = None
    clutch: ClutchId | None = None
    eggs: int
    chicks: int
    hen: HenSeen = HenSeen.NOT_SEEN
    hatched: tuple[int, ...] = ()
    lost: tuple[EggLost, ...] = ()
    candled: tuple[EggCandled, ...] = ()
    ringed: tuple[ChickRinged, ...] = ()
    gone: tuple[ChickGone, ...] = ()
    guests: tuple[GuestSeen, ...] = ()
    not_in_sight: tuple[int, ...] = ()
    bedding: BeddingLevel | None = None
    thrown_out: bool = False
    put_back: bool = False
    taken_out: bool = False
    weighed: tuple[Weighed, ...] = ()
    hide_in: bool = False
    sure: bool = False
    note: str = ""
    by: str | None = None
    changes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectionRow(BookRow):
    """A fact that was changed by hand, and what stood before."""

    correction: int
    subject: Subject
    subject_id: int
    clutch: ClutchId | None = None
    fact: str
    before: str | None = None
    after: str | None = None
    why: str | None = None
    by: str | None = None
    at: datetime
    undone_at: datetime | None = None
    undone_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanRow(BookRow):
    """A span of the species in days, and who says so."""

    span: str
    least: float
    most: float
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CageSizeRow(BookRow):
    """Inner measures of a cage, flight or box."""

    place: PlaceId
    width_cm: float
    depth_cm: float
    height_cm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FitOutItemRow(BookRow):
    """What belongs into every place of a kind."""

    item: int
    kind: PlaceKind
    name: str
    position: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FitOutSeenRow(BookRow):
    """Whether an item was there when somebody looked."""

    place: PlaceId
    item: ItemId
    there: bool
    at: datetime
    by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanDownRow(BookRow):
    """One thing to do after a season, and when it was done."""

    task: int
    season: SeasonId
    place: PlaceId | None = None
    what: str
    done_at: datetime | None = None
    done_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxOffRow(BookRow):
    """A box that is taken off its cage."""

    box: PlaceId
    since: datetime
    by: str | None = None


R = TypeVar("R", bound=BookRow)


@dataclass(frozen=True, slots=True)
class BookRows:
    """A whole book, its rows by their type; a type that is absent has none."""

    by_type: Mapping[type[BookRow], tuple[BookRow, ...]]

    def of(self, row: type[R]) -> tuple[R, ...]:
        """The rows of one table."""
        return cast(tuple[R, ...], self.by_type.get(row, ()))
