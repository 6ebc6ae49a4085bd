"""Days of air for the long pictures."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.air_days import STEP, day_widths, runs_of
from service.store.reading_store import Mean

ZONE = ZoneInfo("Europe/Amsterdam")


def half_hours(since: datetime, until: datetime, value: float = 10.0) -> list[Mean]:
    return [
        Mean(start=since + n * STEP, mean=value + n % 3) for n in range(int((until - since) / STEP))
    ]


def test_a_day_of_23_hours_that_was_heard_throughout_is_whole() -> None:
    # The clocks go forward on 29 March 2026 in the European Union: that day has 23 hours.
    since = datetime(2026, 3, 28, 23, tzinfo=UTC)
    until = datetime(2026, 3, 29, 22, tzinfo=UTC)
    (day,) = day_widths(half_hours(since, until), (), ZONE, until + timedelta(days=1))
    assert (day.day, day.share) == (date(2026, 3, 29), 1.0)


def test_today_is_whole_as_far_as_it_has_gone() -> None:
    since = datetime(2026, 3, 3, 23, tzinfo=UTC)
    now = since + timedelta(hours=6)
    (day,) = day_widths(half_hours(since, now), (), ZONE, now)
    assert day.whole


def test_a_day_heard_for_half_of_it_is_not_whole() -> None:
    since = datetime(2026, 3, 3, 23, tzinfo=UTC)
    half = since + timedelta(hours=12)
    (day,) = day_widths(half_hours(since, half), (), ZONE, since + timedelta(days=3))
    assert day.share == 0.5
    assert not day.whole


def test_a_day_without_a_reading_is_absent_and_breaks_the_run() -> None:
    first = datetime(2026, 3, 3, 23, tzinfo=UTC)
    heard = [
        *half_hours(first, first + timedelta(days=2)),
        *half_hours(first + timedelta(days=3), first + timedelta(days=4)),
    ]
    days = day_widths(heard, (), ZONE, first + timedelta(days=4))
    assert [[one.day.day for one in run] for run in runs_of(days)] == [[4, 5], [7]]


def test_damp_of_a_day_is_not_known_where_only_warmth_was_measured() -> None:
    since = datetime(2026, 3, 3, 23, tzinfo=UTC)
    warmth = half_hours(since, since + timedelta(days=2))
    damp = half_hours(since + timedelta(days=1), since + timedelta(days=2), 60.0)
    one, other = day_widths(warmth, damp, ZONE, since + timedelta(days=2))
    assert one.damp_high_pct is None
    assert (other.damp_low_pct, other.damp_high_pct) == (60.0, 62.0)
