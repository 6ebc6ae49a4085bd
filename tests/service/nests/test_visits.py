"""Which visit it is, on ordinary days and on those on which the clocks change."""

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.nests.duty import Visit, VisitTimes
from service.nests.visits import held_instead, visit_at, visit_span, visits_back_from, visits_held
from tests.service.nests.duties_at_hand import AMSTERDAM, THREE_A_DAY, at, days, visit_times, zones

MONDAY = date(2026, 3, 2)


@given(days(), zones(), visit_times())
def test_visits_follow_each_other_without_a_gap_over_any_change_of_the_clocks(
    day: date, zone: ZoneInfo, times: VisitTimes
) -> None:
    row = [
        visit_span(day + timedelta(days=n), visit, zone, times)
        for n in range(3)
        for visit in visits_held(times)
    ]
    assert all(span.since < span.until for span in row)
    assert all(one.until == following.since for one, following in pairwise(row))


@given(days(), zones(), visit_times(), st.integers(0, 48 * 60))
def test_an_instant_belongs_to_the_one_visit_whose_span_holds_it(
    day: date, zone: ZoneInfo, times: VisitTimes, minutes: int
) -> None:
    now = datetime.combine(day, time(), zone).astimezone(UTC) + timedelta(minutes=minutes)
    found = visit_at(now, zone, times)
    assert found.span.since <= now < found.span.until
    assert found.span == visit_span(found.day, found.visit, zone, times)


@given(days(), zones(), visit_times())
def test_visits_back_from_an_instant_leave_none_out(
    day: date, zone: ZoneInfo, times: VisitTimes
) -> None:
    now = visit_span(day, Visit.EVENING, zone, times).since
    held = visits_held(times)
    back = visits_back_from(now, zone, times)
    found = [(one.day, one.visit) for one, _ in zip(back, range(3 * len(held)), strict=False)]
    expected = [(day - timedelta(days=n), visit) for n in range(3) for visit in reversed(held)]
    assert found == expected


@pytest.mark.parametrize(
    ("hour", "day", "visit"),
    [
        (3.9, date(2026, 3, 1), Visit.EVENING),
        (4, MONDAY, Visit.MORNING),
        (14.9, MONDAY, Visit.MORNING),
        (15, MONDAY, Visit.EVENING),
        (23.9, MONDAY, Visit.EVENING),
    ],
)
def test_two_visits_a_day_share_it_and_the_small_hours_are_the_evening_before(
    hour: float, day: date, visit: Visit
) -> None:
    found = visit_at(at(MONDAY, hour), AMSTERDAM, VisitTimes())
    assert (found.day, found.visit) == (day, visit)


def test_a_third_visit_is_held_where_midday_has_a_time() -> None:
    assert visit_at(at(MONDAY, 12), AMSTERDAM, THREE_A_DAY).visit is Visit.MIDDAY


def test_what_is_due_at_midday_is_due_in_the_evening_where_nobody_comes_at_midday() -> None:
    assert held_instead(Visit.MIDDAY, VisitTimes()) is Visit.EVENING
    assert held_instead(Visit.MIDDAY, THREE_A_DAY) is Visit.MIDDAY


@pytest.mark.parametrize(
    "times",
    [
        {"morning": time(8), "evening": time(7)},
        {"morning": time(8), "midday": time(9), "evening": time(18)},
        {"morning": time(1), "evening": time(23, 30)},
    ],
)
def test_visits_out_of_order_or_too_near_are_refused(times: dict[str, time]) -> None:
    with pytest.raises(ValueError, match="two hours"):
        VisitTimes(**times)
