"""The light of each day as it really was, beside the programme and the natural day.

When the day begins matters to budgerigars, not only how long it is: 14 hours of light a day
bring eggs sooner than shorter days, by the abstract of J. Zool. 1973,
doi:10.1111/j.1469-7998.1973.tb05061.x; a pulse of light works by when it comes after dawn, by
that of J. Zool. 1975 (doi:10.1111/j.1469-7998.1975.tb01390.x). So the hour of lights-on is told
as well as the hours of light. Pure.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import pairwise

from service.climate.daylight import daylight
from service.climate.light_day import LightDay
from service.climate.light_expected import clipped, day_bounds, planned_light
from service.climate.light_own import OwnLight, dark_gaps, night_lights, own_light
from service.climate.light_plan import LightPlan
from service.climate.light_ramps import brightening, dimming
from service.climate.light_spans import LightSource, LightSpan, light_spans
from service.climate.samples import Sample

COMPARABLE = 0.95
"""So much of two days must be seen before one is called longer than the other."""

_DAY = timedelta(days=1)


def light_days(
    samples: Sequence[Sample],
    plan: LightPlan,
    first: date,
    last: date,
    *,
    max_gap: timedelta,
    now: datetime,
) -> tuple[LightDay, ...]:
    """The light of the local dates from ``first`` to ``last``, one each, the oldest first.

    Args:
        samples: of one light sensor [lx], oldest first; they may have gaps and may be empty.
            They should reach from a day before ``first`` to a day after ``last``: the change
            that bounds a day may lie there.
        plan: where the shed stands, its lamps, and from which light on it is light.
        first: the first date wanted.
        last: the last one; dates that have not begun by ``now`` are left out.
        max_gap: how long a reading holds.
        now: the end of what is known.
    """
    seen = _Seen(
        samples=samples,
        spans=light_spans(samples, plan.threshold_lx, max_gap=max_gap, until=now),
        plan=plan,
        now=now,
    )
    dates = [first + _DAY * k for k in range((last - first).days + 1)]
    days = [seen.day(one) for one in dates if day_bounds(one, plan)[0] < now]
    return tuple(
        replace(day, longer=_longer(before, day)) for before, day in pairwise([None, *days]) if day
    )


def _longer(before: LightDay | None, day: LightDay) -> timedelta | None:
    if before is None or before.light is None or day.light is None or not day.is_over:
        return None
    return day.light - before.light if min(before.coverage, day.coverage) >= COMPARABLE else None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """All that was seen, and what was meant."""

    samples: Sequence[Sample]
    spans: tuple[LightSpan, ...]
    plan: LightPlan
    now: datetime

    def own(self, day: date) -> OwnLight | None:
        return own_light(self.spans, day, self.plan)

    def day(self, day: date) -> LightDay:
        since, end = day_bounds(day, self.plan)
        until = min(end, self.now)
        spans = tuple(clipped(self.spans, (since, until)))
        covered = sum((span.length for span in spans), timedelta(0))
        own, before = self.own(day), self.own(day - _DAY)
        planned = planned_light(day, self.plan)
        opening, closing = (own.opening, own.closing) if own else (None, None)
        return LightDay(
            day=day,
            since=since,
            until=until,
            is_over=end <= self.now,
            spans=spans,
            coverage=covered / (until - since),
            on_at=opening.since if opening else None,
            off_at=closing.since if closing else None,
            on_by=opening.began_by if opening else None,
            off_by=closing.began_by if closing else None,
            light=_light(spans),
            brighten=_ramp(brightening, self.samples, opening),
            dim=_ramp(dimming, self.samples, closing),
            dark_gaps=dark_gaps(self.spans, own, planned) if spans else None,
            night_lights=night_lights(spans, (before, own), day, self.plan) if spans else None,
            planned=planned,
            daylight=daylight(self.plan.site, day),
        )


def _light(spans: Sequence[LightSpan]) -> timedelta | None:
    return sum((span.length for span in spans if span.lit), timedelta(0)) if spans else None


def _ramp(
    settling: Callable[[Sequence[Sample], datetime], timedelta | None],
    samples: Sequence[Sample],
    edge: LightSpan | None,
) -> timedelta | None:
    if edge is None or edge.began_by is not LightSource.LAMPS:
        return None
    return settling(samples, edge.since)
