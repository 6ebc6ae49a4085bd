"""How far the lamps' clock is out, by the edges that lamps made."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from scipy.stats import linregress, t  # type: ignore[import-untyped]

from service.climate.light_day import LightDay, PlannedLight
from service.climate.light_spans import LightSource
from service.climate.light_timer import lamp_clock, lateness

MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)
FIRST = date(2026, 1, 10)


def lit(number: int, late_min: float, by: LightSource | None = LightSource.LAMPS) -> LightDay:
    """A day planned from 6 to 20 h, whose lamps came and went so much later."""
    since = datetime(2026, 1, 10, tzinfo=UTC) + number * DAY
    planned = PlannedLight(on_at=since + timedelta(hours=6), off_at=since + timedelta(hours=20))
    late = late_min * MINUTE
    return LightDay(
        day=FIRST + number * DAY,
        since=since,
        until=since + DAY,
        is_over=True,
        spans=(),
        coverage=1.0,
        on_at=planned.on_at + late,
        off_at=planned.off_at + late,
        on_by=by,
        off_by=by,
        light=None,
        brighten=None,
        dim=None,
        dark_gaps=None,
        night_lights=None,
        planned=planned,
        daylight=None,
    )


def test_a_clock_that_loses_a_minute_a_day_is_told_to_do_so() -> None:
    found = lamp_clock([lit(k, float(k)) for k in range(14)], interval=MINUTE)
    assert found is not None
    assert found.later_min_a_week == pytest.approx(7.0)
    assert (found.days, found.late) == (14, 12 * MINUTE)  # the middle one of the newest three


def test_the_interval_is_that_of_a_straight_line_by_least_squares() -> None:
    late = [0.0, 2.1, 1.4, 4.9, 3.8, 6.3, 5.5, 8.9]
    found = lamp_clock([lit(k, told) for k, told in enumerate(late)], interval=MINUTE)
    # SciPy's least squares and Student's t, of another author's code.
    line = linregress([k / 7 for k in range(8)], late)
    half = t.ppf(0.975, 6) * line.stderr
    assert found is not None
    assert found.later_min_a_week == pytest.approx(line.slope)
    assert found.later_least == pytest.approx(line.slope - half, abs=0.01)
    assert found.later_most == pytest.approx(line.slope + half, abs=0.01)


def test_edges_that_fall_on_one_and_the_same_reading_leave_doubt() -> None:
    found = lamp_clock([lit(k, 3.0) for k in range(7)], interval=5 * MINUTE)
    assert found is not None
    assert found.later_least is not None
    assert found.later_least < 0.0 < (found.later_most or 0.0)


def test_a_clock_set_anew_is_told_from_then_on() -> None:
    days = [lit(k, 2.0 * k) for k in range(10)] + [lit(k, -60.0) for k in range(10, 13)]
    found = lamp_clock(days, interval=MINUTE)
    assert found is not None
    assert (found.since, found.days, found.late) == (FIRST + 10 * DAY, 3, -60 * MINUTE)
    assert found.later_min_a_week is None


@pytest.mark.parametrize("by", [LightSource.DAYLIGHT, None], ids=["daylight", "nobody knows"])
def test_what_no_lamp_did_tells_nothing_of_its_clock(by: LightSource | None) -> None:
    assert lateness(lit(0, 30.0, by)) is None
    assert lamp_clock([lit(k, 30.0, by) for k in range(9)], interval=MINUTE) is None


def test_one_day_tells_nothing_of_the_clock() -> None:
    assert lamp_clock([lit(0, 43.0)], interval=MINUTE) is None
    assert lamp_clock([lit(0, 0.0), lit(1, 0.0), lit(2, 43.0)], interval=MINUTE) is None


def test_lamps_that_went_at_quite_another_time_than_they_came_tell_nothing_of_their_clock() -> None:
    day = lit(0, 0.0)
    assert day.off_at is not None
    cut = replace(day, off_at=day.off_at - timedelta(hours=3))  # as a power cut does it
    assert lateness(cut) is None
