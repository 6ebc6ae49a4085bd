"""The coming night as it is planned, and when an outlook for it is issued. Pure.

Planned, not measured: the outlook speaks hours before anybody could measure when it got dark.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from service.climate.light_plan import LightPlan
from service.climate.nights import nights

FIRST_HOUR, LAST_HOUR = -8, 15
"""Outlooks are issued every hour from eight before lamps-off to fifteen after it."""

_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class NightSpan:
    """By the local date of its evening; all times UTC.

    ``light_since`` is when the day before it began, ``since`` when the lamps go off (without
    lamps: sunset), ``until`` when they come on again. ``southern`` is south of the equator,
    where the seasons are the other way round.
    """

    evening: date
    light_since: datetime
    since: datetime
    until: datetime
    southern: bool = False

    def issue_at(self, hour: int) -> datetime:
        """When the outlook of that hour, counted from lamps-off, is issued."""
        return self.since + hour * _HOUR

    def hours(self) -> range:
        """The hours at which outlooks for this night are issued."""
        last = int((self.until - self.since - timedelta(minutes=30)) / _HOUR)
        return range(FIRST_HOUR, min(last, LAST_HOUR) + 1)

    def latest_hour(self, now: datetime) -> int | None:
        """The newest hour that has come by ``now``; None before the first and after the night."""
        if now >= self.until:
            return None
        hour = (now - self.since) // _HOUR
        return min(hour, self.hours()[-1]) if hour >= FIRST_HOUR else None


def planned_night(plan: LightPlan, evening: date) -> NightSpan | None:
    """The night of that evening by the lamps' schedule, without lamps by the sun.

    None where neither tells (no place told, a polar day).
    """
    noon = datetime.combine(evening, time(12), plan.site.timezone).astimezone(UTC)
    around = nights(
        (),
        plan,
        noon - timedelta(hours=24),
        noon + timedelta(hours=47),
        max_gap=_HOUR,
    )
    by_evening = {night.evening: night for night in around}
    before, tonight = by_evening.get(evening - timedelta(days=1)), by_evening.get(evening)
    if tonight is None or tonight.until is None:
        return None
    light = before.until if before and before.until else tonight.since - timedelta(hours=12)
    return NightSpan(
        evening=evening,
        light_since=light,
        since=tonight.since,
        until=tonight.until,
        southern=plan.site.latitude is not None and plan.site.latitude < 0.0,
    )
