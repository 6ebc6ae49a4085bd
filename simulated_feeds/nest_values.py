"""The simulated nest book's values. Fields and texts are those of the service's nest book."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """``kind`` is shed, flight, cage, box or outdoors; ``order`` is the walking order."""

    id: str
    kind: str
    name: str
    within: str | None
    order: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Bird:
    """``id`` is known within the story only; ``sex`` is cock or hen."""

    id: int
    sex: str
    ring: str
    variety: str
    hatched_on: date
    name: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two birds, by their ids in the story, put up in a cage."""

    cage: str
    cock_id: int
    hen_id: int
    put_up_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class EggLost:
    """``fate`` is clear or broken."""

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
class NestCheck:
    """One look into one box; counts as at its end. ``hen`` as in the service's nest book."""

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
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Story:
    """All that the keeper wrote down up to the present; checks in time order."""

    places: tuple[Place, ...]
    birds: tuple[Bird, ...]
    pairs: tuple[Pair, ...]
    checks: tuple[NestCheck, ...]
