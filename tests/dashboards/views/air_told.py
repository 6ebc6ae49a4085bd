"""Nights and days of light to put into words."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.banks import AirLimits
from service.climate.light_day import LightDay
from service.climate.light_spans import LightSpan
from service.climate.night_summary import NightSummary
from service.climate.nights import Night

ZONE = ZoneInfo("Europe/Amsterdam")
LIMITS = AirLimits(cold_c=5.0, damp_pct=80.0)
EVENING = datetime(2026, 3, 3, 19, 30, tzinfo=UTC)  # 20:30 in the shed
MORNING = datetime(2026, 3, 4, 5, 30, tzinfo=UTC)

NIGHT = NightSummary(
    night=Night(evening=date(2026, 3, 3), since=EVENING, until=MORNING, bounds="measured"),
    low_c=6.24,
    low_at=MORNING - timedelta(hours=1),
    hours_below={5.0: 0.0},
    hours_above={80.0: 0.0},
    rh_max_pct=71.6,
    rh_max_at=MORNING - timedelta(hours=2),
    dew_margin_min_c=3.7,
    condensation_min=0.0,
    surface="reckoned",
    coverage=1.0,
    humidity_coverage=1.0,
    surface_coverage=1.0,
)


def night(evenings_later: int = 0, **changed: object) -> NightSummary:
    """A calm night, changed."""
    on = timedelta(days=evenings_later)
    moved = replace(
        NIGHT.night,
        evening=NIGHT.night.evening + on,
        since=EVENING + on,
        until=MORNING + on,
    )
    return replace(NIGHT, night=moved, **changed)  # type: ignore[arg-type]


def light_day(day: date, *spans: LightSpan, **changed: object) -> LightDay:
    """A day in which those spans were seen."""
    since = datetime(day.year, day.month, day.day, tzinfo=ZONE).astimezone(UTC)
    after = day + timedelta(days=1)
    until = datetime(after.year, after.month, after.day, tzinfo=ZONE).astimezone(UTC)
    lit = [one.until - one.since for one in spans if one.lit]
    seen = sum((one.until - one.since for one in spans), timedelta(0))
    made = LightDay(
        day=day,
        since=since,
        until=until,
        is_over=True,
        spans=spans,
        coverage=seen / (until - since),
        on_at=None,
        off_at=None,
        on_by=None,
        off_by=None,
        light=sum(lit, timedelta(0)) if spans else None,
        brighten=None,
        dim=None,
        dark_gaps=() if spans else None,
        night_lights=() if spans else None,
        planned=None,
        daylight=None,
    )
    return replace(made, **changed)  # type: ignore[arg-type]
