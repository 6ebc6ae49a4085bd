"""What the duties ask of a day to come, at one place, as work that may fall on it. Pure.

Only the schedule is looked at: what is missed and carried is work of another day and no more.
A duty that hangs on the weather can't be foreseen; it is told as work that may come.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from service.nests.duty import (
    ByCalendar,
    ByStage,
    Duty,
    DutyTerms,
    EveryDays,
    OnWarmDay,
    Visit,
    VisitTimes,
    WhereKind,
)
from service.nests.place import PlaceKind
from service.nests.stage import Stage


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
    """A place that duties may be for; an id of None is a place that is only supposed."""

    id: str | None
    kind: PlaceKind


_KINDS = {
    WhereKind.EVERY_CAGE: PlaceKind.CAGE,
    WhereKind.EVERY_BOX: PlaceKind.BOX,
    WhereKind.EVERY_FLIGHT: PlaceKind.FLIGHT,
    WhereKind.SHED: PlaceKind.SHED,
}


def asked_of(
    duties: Iterable[Duty], spot: Spot, day: date, stages: frozenset[Stage], times: VisitTimes
) -> tuple[Piece, ...]:
    """All of one day at one place whose nests are in ``stages``; empty where there is no nest."""
    return tuple(
        piece
        for duty in duties
        if not duty.terms.off and _is_for(duty.terms, spot)
        for piece in _pieces(duty.terms, day, stages, times)
    )


def _is_for(terms: DutyTerms, spot: Spot) -> bool:
    if terms.where.kind is WhereKind.NAMED:
        return spot.id in terms.where.places
    return _KINDS[terms.where.kind] is spot.kind


def _pieces(
    terms: DutyTerms, day: date, stages: frozenset[Stage], times: VisitTimes
) -> Iterator[Piece]:
    chance, foreseen = _chance(terms, day, stages)
    if chance:
        for _ in visits_of(terms, times):
            yield Piece(part=terms.name, minutes=terms.minutes, chance=chance, foreseen=foreseen)


def visits_of(terms: DutyTerms, times: VisitTimes) -> tuple[Visit, ...]:
    """The visits of a day that it is due at; what is due at midday is due in the evening where
    the shed is visited twice a day.
    """
    if times.midday is not None:
        return terms.visits
    return tuple(
        visit
        for visit in (Visit.MORNING, Visit.EVENING)
        if visit in terms.visits or (visit is Visit.EVENING and Visit.MIDDAY in terms.visits)
    )


def _chance(terms: DutyTerms, day: date, stages: frozenset[Stage]) -> tuple[float, bool]:
    """The chance that it is due on that day, and whether that can be foreseen."""
    match terms.schedule:
        case ByCalendar(weekdays=weekdays):
            return float(day.weekday() in weekdays), True
        case EveryDays(days=days, first=first):
            return float(day >= first and (day - first).days % days == 0), True
        case ByStage(stages=wanted, every=every):
            # On which of these days the stage began is not known yet.
            return (1 / every if wanted & stages else 0.0), True
        case OnWarmDay():
            return 1.0, False
