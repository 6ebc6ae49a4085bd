"""What of the light belongs to a day, what is missing in it, and what came at night. Pure.

The light that began on a local date and falls into its expected time (while the lamps are
planned, without lamps by day) is the day's own. Where nothing falls into it, lamps that burn at
quite another time are, if they burn long enough to be no visit.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from service.climate.light_day import PlannedLight
from service.climate.light_expected import (
    Window,
    by_day,
    clipped,
    day_bounds,
    expected_around,
    outside,
    planned_light,
)
from service.climate.light_plan import LightPlan
from service.climate.light_spans import LightSpan

LONGEST_OWN_LIGHT = timedelta(hours=20)
"""Light that lasts longer is no day's light: the lamps stay on."""

CLOCK_OUT = timedelta(hours=1)
"""So much may the lamps' clock be out (summer time was forgotten) before their light counts as
light at night, or dark as a gap."""

_SUN_UNKNOWN = timedelta(hours=5)
"""Where no place is told, early light that goes over into the lamps' may be the summer's."""

_NO_VISIT = timedelta(hours=4)
_VISIT = timedelta(hours=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLight:
    """From ``since`` to ``until``. ``opening`` is its first span where its begin was seen;
    ``closing`` the dark span after it where its end was.
    """

    since: datetime
    until: datetime
    opening: LightSpan | None
    closing: LightSpan | None


def own_light(spans: Sequence[LightSpan], day: date, plan: LightPlan) -> OwnLight | None:
    """The day's own light; None where none began on that date, or none was seen."""
    since, end = day_bounds(day, plan)
    begun = spans[bisect_left(spans, since, key=_since) : bisect_left(spans, end, key=_since)]
    own = _own([span for span in begun if span.lit], _expected(day, plan))
    if not own:
        return None
    first, last = (bisect_left(spans, one.since, key=_since) for one in (own[0], own[-1]))
    seen_to_begin = first > 0 and spans[first - 1].until == own[0].since
    follows = spans[last + 1] if last + 1 < len(spans) else None
    seen_to_end = follows is not None and follows.since == own[-1].until
    return OwnLight(
        since=own[0].since,
        until=own[-1].until,
        opening=own[0] if seen_to_begin else None,
        closing=follows if seen_to_end else None,
    )


def dark_gaps(
    spans: Sequence[LightSpan], own: OwnLight | None, planned: PlannedLight | None
) -> tuple[LightSpan, ...]:
    """Dark within the day's own light, and longer dark while its lamps were meant to burn."""
    found: list[LightSpan] = []
    if own is not None:
        found += _dark(spans, (own.since, own.until))
    if planned is not None:
        missed = _dark(spans, (planned.on_at, planned.off_at))
        found += [gap for gap in missed if gap.length > CLOCK_OUT and not _within(gap, own)]
    return tuple(sorted(found, key=lambda gap: gap.since))


def night_lights(
    spans: Iterable[LightSpan], owned: Iterable[OwnLight | None], day: date, plan: LightPlan
) -> tuple[LightSpan, ...]:
    """Of the spans of a local date, the light which no plan and no sun accounts for.

    ``owned`` is the own light of that date and of the one before, which may reach into it.
    """
    expected = expected_around(day, plan)
    short = [own for own in owned if own and own.until - own.since <= LONGEST_OWN_LIGHT]
    found: list[LightSpan] = []
    for span in spans:
        if not span.lit:
            continue
        is_own = any(_within(span, own) for own in short)
        if not (is_own and planned_light(day, plan) is None):
            found += outside(span, _widened(expected, plan) if is_own else expected)
    return tuple(found)


def _own(begun: Sequence[LightSpan], expected: Window | None) -> list[LightSpan]:
    longest = max(begun, key=lambda span: span.length, default=None)
    if longest is None:
        return []
    if expected is None:
        return [one for one in begun if one is longest or _near(one, longest)]
    since, until = expected
    falls = [span for span in begun if span.since < until and span.until > since]
    return falls or ([longest] if longest.length >= _NO_VISIT else [])


def _expected(day: date, plan: LightPlan) -> Window | None:
    planned = planned_light(day, plan)
    return (planned.on_at, planned.off_at) if planned else by_day(day, plan)


def _since(span: LightSpan) -> datetime:
    return span.since


def _near(one: LightSpan, other: LightSpan) -> bool:
    return max(one.since - other.until, other.since - one.until) < _VISIT


def _dark(spans: Sequence[LightSpan], window: Window) -> Iterator[LightSpan]:
    return (span for span in clipped(spans, window) if not span.lit)


def _within(span: LightSpan, own: OwnLight | None) -> bool:
    return own is not None and own.since <= span.since and span.until <= own.until


def _widened(windows: Sequence[Window], plan: LightPlan) -> list[Window]:
    sun_known = plan.site.latitude is not None and plan.site.longitude is not None
    by = CLOCK_OUT if sun_known else _SUN_UNKNOWN
    return [(since - by, until + by) for since, until in windows]
