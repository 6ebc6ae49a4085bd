"""What the keeper tells of a look, in the nest book's own terms: numbers of eggs, and its words."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class EggLost:
    """``fate`` is clear, addled, dead in shell, broken or missing."""

    number: int
    fate: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EggCandled:
    """``result`` is fertile, clear or unsure."""

    number: int
    result: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChickRinged:
    """The chick of this egg got this ring."""

    egg_number: int
    ring: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChickGone:
    """``fate`` is died, fledged or weaned."""

    egg_number: int
    fate: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GuestSeen:
    """News of an egg or chick of another pair; ``egg_id`` is that of the book."""

    egg_id: int
    candled: str | None = None
    lost: str | None = None
    hatched: bool = False
    ring: str | None = None
    gone: str | None = None
    not_in_sight: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """An egg or chick by its number, a guest by the book's number of its egg too."""

    egg_number: int
    mass_g: float
    egg_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NestCheck:
    """One look into one box; counts as at its end."""

    form_id: UUID
    box: str
    at: datetime
    eggs: int
    chicks: int
    hen: str
    hatched: tuple[int, ...] = ()
    lost: tuple[EggLost, ...] = ()
    candled: tuple[EggCandled, ...] = ()
    ringed: tuple[ChickRinged, ...] = ()
    gone: tuple[ChickGone, ...] = ()
    guests: tuple[GuestSeen, ...] = ()
    not_in_sight: tuple[int, ...] = ()
    bedding: str | None = None
    thrown_out: bool = False
    put_back: bool = False
    taken_out: bool = False
    weighed: tuple[Weighed, ...] = ()
    hide_in: bool = False
    note: str = ""
