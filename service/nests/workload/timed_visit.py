"""How long visits took, by the keeper's own taps. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from service.nests.duty import Visit

LONGEST = timedelta(hours=4)
"""Longer ones were forgotten to be ended, and tell nothing."""

SHORTEST_MIN = 1.0
"""Shorter ones were taps by mistake, and are passed over."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedVisit:
    """Begun and ended by one tap each; ``ended_at`` is None while it goes on. Times are UTC.

    ``day`` and ``visit`` say which one of the shed's days it was.
    """

    id: int
    day: date
    visit: Visit
    began_at: datetime
    began_by: str | None = None
    ended_at: datetime | None = None
    ended_by: str | None = None

    @property
    def minutes(self) -> float | None:
        """How long it took [min]; None while it goes on, or where its end was forgotten."""
        if self.ended_at is None or self.ended_at - self.began_at > LONGEST:
            return None
        return (self.ended_at - self.began_at) / timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitTook:
    """All that was timed of one visit of one day, in minutes."""

    day: date
    visit: Visit
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """The visits that tell how long they took, and how many don't."""

    took: tuple[VisitTook, ...]
    forgotten: int = 0


def timed(visits: Iterable[TimedVisit], now: datetime) -> Timed:
    """Visits that were interrupted and begun again count together; so do two people's.

    One whose end was forgotten takes all that was timed of that visit with it; the one that
    goes on now is not forgotten yet.
    """
    sums: dict[tuple[date, Visit], float] = {}
    without_end: set[tuple[date, Visit]] = set()
    going_on: set[tuple[date, Visit]] = set()
    for one in visits:
        which, minutes = (one.day, one.visit), one.minutes
        if minutes is not None:
            sums[which] = sums.get(which, 0.0) + minutes
        elif one.ended_at is None and now - one.began_at <= LONGEST:
            going_on.add(which)
        else:
            without_end.add(which)
    took = [
        VisitTook(day=day, visit=visit, minutes=minutes)
        for (day, visit), minutes in sums.items()
        if (day, visit) not in without_end | going_on and minutes >= SHORTEST_MIN
    ]
    order = tuple(Visit)
    took.sort(key=lambda one: (one.day, order.index(one.visit)))
    return Timed(took=tuple(took), forgotten=len(without_end))


def whole_days(took: Iterable[VisitTook], visits_a_day: int) -> dict[date, float]:
    """Minutes of the days of which every visit was timed."""
    by_day: dict[date, list[float]] = {}
    for one in took:
        by_day.setdefault(one.day, []).append(one.minutes)
    return {day: sum(told) for day, told in by_day.items() if len(told) >= visits_a_day}
