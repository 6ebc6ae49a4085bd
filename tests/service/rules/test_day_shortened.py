"""A day that had much less light than those before it."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest

from service.climate.light_cycle import light_days
from service.climate.light_day import LightDay
from service.climate.light_plan import LampSchedule, LightPlan, LightStep, Site
from service.climate.samples import Sample, ms_of
from service.rules.day_shortened import shortened
from service.rules.limit import Assessment

ZONE = ZoneInfo("Europe/Amsterdam")
LONG = LampSchedule(on=time(6, 30), off=time(20, 30))
FIRST = date(2026, 2, 2)
BY = timedelta(minutes=90)
NOW = datetime(2026, 2, 6, 6, tzinfo=UTC)


def days(
    hours: list[float], plan: LightPlan | None = None, leave_out: range = range(0)
) -> tuple[LightDay, ...]:
    """Days that begin at 06:30 and are so long, seen every ten minutes; some hours unseen."""
    plan = plan or LightPlan(site=Site(timezone=ZONE), schedule=LONG)
    told: list[Sample] = []
    midnight = datetime.combine(FIRST, time(0), ZONE).astimezone(UTC)
    for n in range(-144, 144 * len(hours) + 36):
        of_day = (n % 144) / 6.0
        length = hours[min(max(0, n // 144), len(hours) - 1)]
        if n // 6 not in leave_out:
            lit = 6.5 <= of_day < 6.5 + length
            told.append((ms_of(midnight + n * timedelta(minutes=10)), 400.0 if lit else 0.0))
    last = FIRST + timedelta(days=len(hours) - 1)
    return light_days(told, plan, FIRST, last, max_gap=timedelta(minutes=30), now=NOW)


def test_two_hours_less_than_the_days_before_is_short() -> None:
    found = shortened(days([14.0, 14.0, 14.0, 12.0]), BY)
    assert found.assessment is Assessment.BREACHED
    assert found.light == timedelta(hours=12)
    assert found.usual == timedelta(hours=14)


@pytest.mark.parametrize("last_h", [13.0, 14.0, 16.0])
def test_an_hour_less_or_more_light_is_not(last_h: float) -> None:
    assert shortened(days([14.0, 14.0, 14.0, last_h]), BY).assessment is Assessment.CLEAR


def test_one_odd_day_before_is_not_what_is_usual() -> None:
    assert shortened(days([14.0, 18.0, 14.0, 13.0]), BY).assessment is Assessment.CLEAR


def test_what_the_plan_takes_away_is_not_missing() -> None:
    step = LightStep(
        since=FIRST + timedelta(days=3), schedule=LampSchedule(on=time(6, 30), off=time(18, 30))
    )
    plan = LightPlan(site=Site(timezone=ZONE), schedule=LONG, steps=(step,))
    assert shortened(days([14.0, 14.0, 14.0, 12.0], plan), BY).assessment is Assessment.CLEAR


def test_a_day_that_was_not_seen_whole_says_nothing() -> None:
    unseen = range(3 * 24 + 8, 3 * 24 + 12)
    found = shortened(days([14.0, 14.0, 14.0, 10.0], leave_out=unseen), BY)
    assert found.assessment is Assessment.CANNOT_TELL


def test_too_few_days_say_nothing() -> None:
    assert shortened(days([14.0, 8.0]), BY).assessment is Assessment.CANNOT_TELL
    assert shortened((), BY).assessment is Assessment.CANNOT_TELL
