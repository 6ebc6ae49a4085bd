"""Which visit it is, and from when to when one lasts, by the shed's own clock. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from service.nests.duty import Visit, VisitTimes
from service.nests.span import Span

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitOfDay:
    """One visit of one day of the shed; it lasts from ``span.since`` until the next begins."""

    day: date
    visit: Visit
    span: Span


def visits_held(times: VisitTimes) -> tuple[Visit, ...]:
    """The visits of every day, in their order: two, or three where there is one at midday."""
    return tuple(visit for visit in Visit if visit is not Visit.MIDDAY or times.midday is not None)


def held_instead(visit: Visit, times: VisitTimes) -> Visit:
    """The visit itself, or the one that does its work where it is not held."""
    return Visit.EVENING if visit is Visit.MIDDAY and times.midday is None else visit


def visit_span(day: date, visit: Visit, zone: tzinfo, times: VisitTimes) -> Span:
    """From when to when it counts as this visit (UTC); ``visit`` is one that is held."""
    held = visits_held(times)
    after = held.index(visit) + 1
    following = (day, held[after]) if after < len(held) else (day + _DAY, held[0])
    return Span(since=_begins(day, visit, zone, times), until=_begins(*following, zone, times))


def visit_at(now: datetime, zone: tzinfo, times: VisitTimes) -> VisitOfDay:
    """The visit that it is time for at ``now``; in the small hours still the evening before's."""
    return next(visits_back_from(now, zone, times))


def visits_back_from(now: datetime, zone: tzinfo, times: VisitTimes) -> Iterator[VisitOfDay]:
    """All visits that have begun by ``now``, the latest first, without end."""
    day = now.astimezone(zone).date()
    while True:
        for visit in reversed(visits_held(times)):
            span = visit_span(day, visit, zone, times)
            if span.since <= now:
                yield VisitOfDay(day=day, visit=visit, span=span)
        day -= _DAY


def day_began(day: date, zone: tzinfo) -> datetime:
    """The first instant of a day of the shed, UTC."""
    return datetime.combine(day, time(), zone).astimezone(UTC)


def _begins(day: date, visit: Visit, zone: tzinfo, times: VisitTimes) -> datetime:
    # A time that the clocks leave out or show twice is the one reckoned from before the change.
    told = {Visit.MORNING: times.morning, Visit.MIDDAY: times.midday, Visit.EVENING: times.evening}
    at = told[visit]
    assert at is not None  # noqa: S101 - only visits that are held are asked for
    return datetime.combine(day, at, zone).astimezone(UTC)
