"""What the duties ask of a day to come, at one place, as work that may fall on it. Pure.

Only the schedule is looked at: what is missed and carried is work of another day and no more.
A duty that hangs on the weather can't be foreseen; it is told as work that may come.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, tzinfo

from service.nests.duty import (
    BeforeItSours,
    ByStage,
    Duty,
    DutyTerms,
    OnWarmDay,
    VisitTimes,
    WhereKind,
)
from service.nests.duty_days import foreseen_visits
from service.nests.place import PlaceKind
from service.nests.stage import Stage

Busy = Callable[[frozenset[Stage]], float]
"""The chance that a nest of the place is in one of these stages."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """Work of ``minutes`` that falls on the day with ``chance``; ``part`` is what it is called.

    ``foreseen`` is False where nobody can tell whether it comes; the chance is 1 then, and
    counts only for how much it may be.
    """

    part: str
    minutes: float
    chance: float = 1.0
    foreseen: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """A place that duties may be for; an id of None is a place that is only supposed.

    ``off`` is a box that was taken off: what is for every box is not for this one.
    """

    id: str | None
    kind: PlaceKind
    off: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """What asks: the duties, at which visits, in which zone days begin."""

    duties: Sequence[Duty]
    times: VisitTimes
    zone: tzinfo


_KINDS = {
    WhereKind.EVERY_CAGE: PlaceKind.CAGE,
    WhereKind.EVERY_BOX: PlaceKind.BOX,
    WhereKind.EVERY_FLIGHT: PlaceKind.FLIGHT,
    WhereKind.SHED: PlaceKind.SHED,
}


def asked_of(asking: Asking, spot: Spot, day: date, busy: Busy) -> tuple[Piece, ...]:
    """All of one day at one place; ``busy`` tells of the nests in it on that day."""
    return tuple(
        piece
        for duty in asking.duties
        if not duty.terms.off and _is_for(duty.terms, spot)
        for piece in _pieces(duty.terms, asking, day, busy)
    )


def in_stages(stages: Iterable[Stage]) -> Busy:
    """Of a place whose nests are in these stages for sure; without a nest it is in none."""
    there = frozenset(stages)
    return lambda wanted: float(not wanted.isdisjoint(there))


def _is_for(terms: DutyTerms, spot: Spot) -> bool:
    if terms.where.kind is WhereKind.NAMED:
        return spot.id in terms.where.places
    return _KINDS[terms.where.kind] is spot.kind and not spot.off


def _pieces(terms: DutyTerms, asking: Asking, day: date, busy: Busy) -> Iterator[Piece]:
    chance = 1.0
    if isinstance(terms.schedule, ByStage):
        # On which of these days the stage will have begun is not known yet.
        chance = busy(terms.schedule.stages) / terms.schedule.every
    if isinstance(terms.schedule, BeforeItSours) and terms.schedule.stages:
        chance = busy(terms.schedule.stages)
    if chance:
        foreseen = not isinstance(terms.schedule, OnWarmDay)
        for _ in foreseen_visits(terms, day, asking.zone, asking.times):
            yield Piece(part=terms.name, minutes=terms.minutes, chance=chance, foreseen=foreseen)
