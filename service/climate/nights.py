"""The nights of the past: from when to when each lasted, and what tells so.

A night belongs to the local date of its evening; it is looked for between that noon and the
next, or where the lamps are meant to be dark at noon from the middle of their light to the next.
Where a light sensor saw both its beginning and its end it is measured: from the first
dark reading to the first bright one, each the begin of at least ``plan.dark_for`` of the
same. Otherwise the lamps' schedule bounds it, without lamps sunset and sunrise, and without
either no night is told. Pure.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from service.climate.dark_spans import Span, dark_spans
from service.climate.daylight import SunPath, daylight
from service.climate.light_plan import LightPlan
from service.climate.light_state import Bounds
from service.climate.samples import Measured, Sample, is_usable, ms_of

VISIT = timedelta(hours=1)
"""Lamps on for less than this between two dark times, each of them longer, are a visit to
the shed in one night. The dark hour between daylight and lamps on a winter afternoon is not
followed by so short a light, so it is not taken for the night."""


_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Night:
    """``evening`` is the local date. ``until`` is None while the night has not ended."""

    evening: date
    since: datetime
    until: datetime | None
    bounds: Bounds


def usable(readings: Iterable[Measured]) -> Iterator[Measured]:
    """Readings that count: all but those flagged fail or missing."""
    return filter(is_usable, readings)


def nights(
    light: Iterable[Sample],
    plan: LightPlan,
    since: datetime,
    until: datetime,
    *,
    max_gap: timedelta,
) -> tuple[Night, ...]:
    """The nights that lie at least partly in ``since`` to ``until``, oldest first.

    Args:
        light: of one light sensor [lx], oldest first; may have gaps and may be empty. It
            should begin a day before ``since``: a night whose evening is not
            among them is told by the schedule.
        plan: where the shed stands, and its lamps.
        since: begin of the time asked for.
        until: its end, which is now or earlier: nothing after it is known. A night that has
            not ended by then has no ``until``.
        max_gap: after a longer gap the light sensor counts as silent.
    """
    until_ms = ms_of(until)
    spans = dark_spans((one for one in light if one[0] <= until_ms), plan, max_gap)
    zone = plan.site.timezone
    evening = since.astimezone(zone).date() - 2 * _DAY  # dark at noon, one may end so late
    last = until.astimezone(zone).date()
    found = []
    while evening <= last:
        night = _night(evening, spans, plan, until, max_gap)
        if night and night.since < until and (night.until is None or night.until > since):
            found.append(night)
        evening += _DAY
    return tuple(found)


def _night(
    evening: date, spans: Sequence[Span], plan: LightPlan, until: datetime, max_gap: timedelta
) -> Night | None:
    night = (
        _measured_night(evening, spans, plan, until, max_gap)
        or _scheduled_night(evening, plan)
        or _sun_night(evening, plan)
    )
    if night and night.until and night.until > until:
        return replace(night, until=None)
    return night


def _measured_night(
    evening: date, spans: Sequence[Span], plan: LightPlan, until: datetime, max_gap: timedelta
) -> Night | None:
    """The longest dark time between two noons, where its ends were seen."""
    first, last = _looked_for(evening, plan)
    here = [
        replace(span, since=max(span.since, first), until=min(span.until, last))
        for span in _around(spans, first, last)
    ]
    dark = max(_dark_times(here), key=lambda span: span.until - span.since, default=None)
    if dark is None:
        return None
    came = any(not span.dark and span.until == dark.since for span in here)
    went = any(not span.dark and span.since == dark.until for span in here)
    goes_on = until - dark.until <= max_gap
    if not came or not (went or goes_on):
        return None
    return Night(
        evening=evening,
        since=dark.since,
        until=dark.until if went else None,
        bounds="measured",
    )


def _looked_for(evening: date, plan: LightPlan) -> tuple[datetime, datetime]:
    noon, next_noon = _noon(evening, plan), _noon(evening + _DAY, plan)
    planned = _planned(evening, plan)
    if planned is None or (noon <= planned[0] and planned[1] <= next_noon):
        return noon, next_noon
    before, after = _planned(evening - _DAY, plan), _planned(evening + _DAY, plan)
    return (
        noon if before is None else before[1] + (planned[0] - before[1]) / 2,
        next_noon if after is None else planned[1] + (after[0] - planned[1]) / 2,
    )


def _around(spans: Sequence[Span], since: datetime, until: datetime) -> Sequence[Span]:
    """Those that lie at least partly in ``since`` to ``until``; they never overlap."""
    first = bisect_right(spans, since, key=lambda span: span.until)
    return spans[first : bisect_left(spans, until, key=lambda span: span.since)]


def _dark_times(spans: Iterable[Span]) -> list[Span]:
    """The dark times; two of them are one where only a visit or a silence is between."""
    joined: list[Span] = []
    bright = timedelta(0)
    for span in spans:
        if not span.dark:
            bright += span.until - span.since
            continue
        last = joined[-1] if joined else None
        if last and bright < min(VISIT, last.until - last.since, span.until - span.since):
            joined[-1] = replace(last, until=span.until)
        else:
            joined.append(span)
        bright = timedelta(0)
    return joined


def _scheduled_night(evening: date, plan: LightPlan) -> Night | None:
    planned = _planned(evening, plan)
    if planned is None:
        return None
    return Night(evening=evening, since=planned[0], until=planned[1], bounds="schedule")


def _planned(evening: date, plan: LightPlan) -> tuple[datetime, datetime] | None:
    """From the first time after noon at which the lamps go dark to the next at which not."""
    morning = evening + _DAY
    today, tomorrow = plan.schedule_on(evening), plan.schedule_on(morning)
    if today is None or tomorrow is None:
        return None
    off, on = today.off, tomorrow.on
    dark_on = evening if off >= time(12) else morning
    return _utc(dark_on, off, plan), _utc(dark_on if on > off else dark_on + _DAY, on, plan)


def _sun_night(evening: date, plan: LightPlan) -> Night | None:
    """From sunset to sunrise; in polar night from one solar noon to the next."""
    today = daylight(plan.site, evening)
    tomorrow = daylight(plan.site, evening + _DAY)
    if today is None or tomorrow is None:
        return None
    since = today.noon if today.sun is SunPath.ALWAYS_BELOW else today.sunset
    until = tomorrow.noon if tomorrow.sun is SunPath.ALWAYS_BELOW else tomorrow.sunrise
    if since is None or until is None:
        return None
    return Night(evening=evening, since=since, until=until, bounds="sun")


def _noon(on: date, plan: LightPlan) -> datetime:
    return _utc(on, time(12), plan)


def _utc(on: date, at: time, plan: LightPlan) -> datetime:
    return datetime.combine(on, at, plan.site.timezone).astimezone(UTC)
