"""When it is meant to be light on a local date: while the lamps are planned, and by day. Pure."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

from service.climate.daylight import SunPath, daylight
from service.climate.light_day import PlannedLight
from service.climate.light_plan import LightPlan
from service.climate.light_spans import LightSpan

Window = tuple[datetime, datetime]

_DAY = timedelta(days=1)


def day_bounds(day: date, plan: LightPlan) -> Window:
    """The local date from midnight to midnight [UTC]; 23 or 25 h where the clocks change."""
    return _utc(day, time(0), plan), _utc(day + _DAY, time(0), plan)


def planned_light(day: date, plan: LightPlan) -> PlannedLight | None:
    """When the lamps that come on that date are meant to burn; None without lamps."""
    schedule = plan.schedule_on(day)
    if schedule is None:
        return None
    dark_on = day if schedule.on < schedule.off else day + _DAY
    return PlannedLight(
        on_at=_utc(day, schedule.on, plan), off_at=_utc(dark_on, schedule.off, plan)
    )


def by_day(day: date, plan: LightPlan) -> Window | None:
    """From civil dawn to civil dusk; None in polar night, or where no place is told."""
    sun = daylight(plan.site, day)
    if sun is None or sun.twilight is SunPath.ALWAYS_BELOW:
        return None
    half = _DAY / 2
    return sun.civil_dawn or sun.noon - half, sun.civil_dusk or sun.noon + half


def expected_around(day: date, plan: LightPlan) -> list[Window]:
    """All times of planned light and of daylight that can reach into a date."""
    days = [day - _DAY, day, day + _DAY]
    planned = [planned_light(one, plan) for one in days]
    windows = [(one.on_at, one.off_at) for one in planned if one is not None]
    return windows + [window for one in days if (window := by_day(one, plan)) is not None]


def clipped(spans: Sequence[LightSpan], window: Window) -> list[LightSpan]:
    """The parts of spans, oldest first, that lie in a window."""
    since, until = window
    first = bisect_right(spans, since, key=lambda span: span.until)
    end = bisect_left(spans, until, key=lambda span: span.since)
    return [part(span, max(span.since, since), min(span.until, until)) for span in spans[first:end]]


def part(span: LightSpan, since: datetime, until: datetime) -> LightSpan:
    """A part of a span; nothing began it where it does not begin with the span."""
    began_by = span.began_by if since == span.since else None
    return replace(span, since=since, until=until, began_by=began_by)


def outside(span: LightSpan, windows: Sequence[Window]) -> list[LightSpan]:
    """The parts of a span that lie in none of the windows."""
    left, at = [], span.since
    for since, until in sorted(windows):
        if since > at:
            left.append((at, min(since, span.until)))
        at = max(at, until)
        if at >= span.until:
            break
    left.append((at, span.until))
    return [part(span, one, other) for one, other in left if one < other]


def _utc(on: date, at: time, plan: LightPlan) -> datetime:
    return datetime.combine(on, at, plan.site.timezone).astimezone(UTC)
