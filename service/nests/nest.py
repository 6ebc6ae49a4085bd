"""The nest book's values: who breeds where, what was laid, and what became of it.

An instant that nobody saw is kept as two: ``…_from`` (the last look without it) and
``…_to`` (the first look with it), both UTC, ``from <= to``.
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from uuid import UUID

from service.nests.place import Place


class Sex(StrEnum):
    """Of a bird."""

    COCK = "cock"
    HEN = "hen"
    UNKNOWN = "unknown"


class EggFate(StrEnum):
    """What became of an egg; an egg without a fate still lies there."""

    CLEAR = "clear"
    ADDLED = "addled"
    DEAD_IN_SHELL = "dead in shell"
    BROKEN = "broken"
    MISSING = "missing"
    HATCHED = "hatched"


class Life(StrEnum):
    """Whether a bird is still among the keeper's own."""

    ALIVE = "alive"
    SOLD = "sold"
    DEAD = "dead"


class Candling(StrEnum):
    """What a light through the egg showed."""

    FERTILE = "fertile"
    CLEAR = "clear"
    UNSURE = "unsure"


class ChickFate(StrEnum):
    """What became of a chick; a chick without a fate is still in the box."""

    DIED = "died"
    FLEDGED = "fledged"
    WEANED = "weaned"
    MOVED = "moved"


class HenSeen(StrEnum):
    """What the hen was doing at a check."""

    SITTING = "sitting"
    IN_BOX = "in the box"
    OFF = "off the nest"
    NOT_SEEN = "not seen"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bird:
    """``ring`` is free text, unique where given.

    ``sire_id`` and ``dam_id`` are its parents, whichever box it lay in. ``place`` is where it
    lives, None where nobody said. ``life_since`` is the day on which ``life`` became what it is.
    """

    id: int
    sex: Sex
    ring: str | None = None
    name: str | None = None
    variety: str | None = None
    hatched_on: date | None = None
    sire_id: int | None = None
    dam_id: int | None = None
    place: str | None = None
    life: Life = Life.ALIVE
    life_since: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """A cock and a hen put up together in a cage."""

    id: int
    cage: str
    cock: Bird
    hen: Bird
    put_up_on: date
    ended_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """At ``at`` an egg, or the chick out of it, went from one box into another (fostering).

    Its parents and its number stay; its surroundings change.
    """

    id: int
    at: datetime
    from_box: str
    to_box: str
    why: str = ""
    by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Egg:
    """Numbered in laying order within its clutch, which it keeps wherever it lies.

    ``moves`` are in time order, those of the chick among them. Lengths in mm.
    """

    id: int
    number: int
    laid_from: datetime
    laid_to: datetime
    candling: Candling | None = None
    candled_at: datetime | None = None
    fate: EggFate | None = None
    fate_from: datetime | None = None
    fate_to: datetime | None = None
    length_mm: float | None = None
    breadth_mm: float | None = None
    moves: tuple[Move, ...] = ()

    def box_at(self, at: datetime, laid_in: str) -> str:
        """Which box it, or its chick, is in at an instant; ``laid_in`` is its clutch's."""
        box = laid_in
        for move in self.moves:
            if move.at <= at:
                box = move.to_box
        return box

    def box(self, laid_in: str) -> str:
        """Which box it is in after all its moves."""
        return self.moves[-1].to_box if self.moves else laid_in


@dataclass(frozen=True, slots=True, kw_only=True)
class Chick:
    """Hatched from one egg (``egg_number``). ``bird_id`` is the bird it became in the book."""

    id: int
    egg_number: int
    hatched_from: datetime
    hatched_to: datetime
    ring: str | None = None
    ringed_at: datetime | None = None
    fate: ChickFate | None = None
    fate_at: datetime | None = None
    bird_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Clutch:
    """One sitting of one pair in one box; ``round`` counts 1, 2, 3 within the season.

    ``sitting_from`` is when the hen began to sit, where the keeper said so; else None and
    it is inferred (see due dates). ``hide_in_at`` is when somewhere to hide went in for the
    first outings. ``closed_at`` is when every egg and every chick had its fate, or had been
    moved into another box, and laying was over.
    """

    id: int
    box: str
    pair_id: int
    round: int
    eggs: tuple[Egg, ...] = ()
    chicks: tuple[Chick, ...] = ()
    sitting_from: datetime | None = None
    hide_in_at: datetime | None = None
    closed_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EggLost:
    """A check found that this egg is no longer to be counted on."""

    number: int
    fate: EggFate


@dataclass(frozen=True, slots=True, kw_only=True)
class EggCandled:
    """A check held a light to this egg."""

    number: int
    result: Candling


@dataclass(frozen=True, slots=True, kw_only=True)
class ChickRinged:
    """A check put a ring on the chick of this egg."""

    egg_number: int
    ring: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChickGone:
    """A check found what became of the chick of this egg."""

    egg_number: int
    fate: ChickFate


@dataclass(frozen=True, slots=True, kw_only=True)
class GuestSeen:
    """What a check saw of an egg or chick of another pair that lies in this box.

    ``egg_id`` is that of the book. Nothing said: it was there, and nothing about it was new.
    ``not_in_sight``: it must lie there and was not seen.
    """

    egg_id: int
    candled: Candling | None = None
    lost: EggFate | None = None
    hatched: bool = False
    ring: str | None = None
    gone: ChickFate | None = None
    not_in_sight: bool = False


class BeddingLevel(StrEnum):
    """How much bedding lies in the box."""

    BARE = "bare floor"
    THIN = "thin layer"
    HALF = "about half"
    DEEP = "deep"


@dataclass(frozen=True, slots=True, kw_only=True)
class BeddingSeen:
    """The bedding at a look. ``thrown_out`` is the hen's doing, the others the keeper's."""

    level: BeddingLevel | None = None
    thrown_out: bool = False
    put_back: bool = False
    taken_out: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """A check put this egg, or the chick out of it, on a scale. ``egg_id`` for a guest."""

    egg_number: int
    mass_g: float
    egg_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NestCheck:
    """One look into one box, as the keeper told it.

    ``eggs`` and ``chicks`` are what lies and sits there at the end of the look. ``form_id``
    is made when the form is served: however often it is sent, it is one check. ``hide_in``
    says that a place to hide was put in. ``sure`` is the keeper's answer to a doubt ("9 eggs
    in two days?"): it was asked, and it is so. ``guests`` are eggs and chicks of other pairs;
    ``eggs`` and ``chicks`` count them too. ``not_in_sight`` are own eggs that must lie there and
    were not seen (deep bedding): they are not counted in ``eggs``, and not lost.
    """

    form_id: UUID
    box: str
    at: datetime
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
    bedding: BeddingSeen | None = None
    weighed: tuple[Weighed, ...] = ()
    hide_in: bool = False
    sure: bool = False
    note: str = ""
    by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Guest:
    """An egg or chick that lies in a box it was not laid in. ``clutch`` is its own.

    ``home`` is the box it was laid in, and ``checks`` are the looks into that box of its own
    clutch, oldest first: they tell when its own hen sat.
    """

    clutch: Clutch
    egg: Egg
    chick: Chick | None = None
    home: Place | None = None
    checks: tuple[NestCheck, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Nest:
    """A box with all that the book knows of it. ``clutch`` is the open or the last one.

    ``clutch`` holds its own eggs wherever they lie now (``Egg.moves``); ``guests`` are those
    of others that were moved in and have not been moved on, fateless or not.

    ``before`` is the last clutch of the pair's hen before ``clutch``, wherever she laid it.
    ``off_since`` is when the box was taken off for the rest of the season, and ``resting``
    says that the whole shed rests: nothing of breeding is due where nothing lives.

    ``checks`` are those of that clutch and those of the present pair since then, oldest
    first. ``revision`` grows with every change to this nest: who writes says which one was
    read, so that two writers can't undo each other.
    """

    box: Place
    pair: Pair | None = None
    clutch: Clutch | None = None
    checks: tuple[NestCheck, ...] = ()
    guests: tuple[Guest, ...] = ()
    before: Clutch | None = None
    off_since: datetime | None = None
    resting: bool = False
    revision: int = 0
