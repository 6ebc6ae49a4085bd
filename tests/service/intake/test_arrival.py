"""Stamps of arrival rise strictly, and keep close to the clock."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from service.intake.arrival import MAX_LEAD, STEP, Arrivals

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
SECOND = timedelta(seconds=1)


def test_messages_that_come_slowly_are_stamped_by_the_clock() -> None:
    arrivals = Arrivals()
    clock = [NOON + n * SECOND for n in range(5)]
    assert [arrivals.stamp(now) for now in clock] == clock


def test_a_burst_in_one_instant_gets_a_millisecond_for_each() -> None:
    arrivals = Arrivals()
    assert [arrivals.stamp(NOON) for _ in range(3)] == [NOON, NOON + STEP, NOON + 2 * STEP]


def test_the_clock_is_followed_again_when_it_has_caught_up() -> None:
    arrivals = Arrivals()
    for _ in range(500):
        arrivals.stamp(NOON)
    assert arrivals.stamp(NOON + SECOND) == NOON + SECOND


def test_a_clock_that_was_put_back_is_followed_at_once() -> None:
    arrivals = Arrivals()
    arrivals.stamp(NOON)
    earlier = NOON - timedelta(hours=1)
    assert [arrivals.stamp(earlier), arrivals.stamp(earlier)] == [earlier, earlier + STEP]


def test_a_clock_that_was_put_back_a_little_makes_no_stamp_twice() -> None:
    arrivals = Arrivals()
    arrivals.stamp(NOON)
    assert arrivals.stamp(NOON - 5 * SECOND) == NOON + STEP


def test_stamps_never_run_further_ahead_than_ten_seconds() -> None:
    arrivals = Arrivals()
    stamps = [arrivals.stamp(NOON) for _ in range(10_002)]
    assert max(stamps) == NOON + timedelta(seconds=10)
    assert stamps[-1] == NOON


@given(st.lists(st.integers(min_value=0, max_value=3_000), max_size=200))
def test_stamps_of_a_clock_that_goes_on_rise_by_a_millisecond_at_least(
    steps_us: list[int],
) -> None:
    arrivals = Arrivals()
    now, last = NOON, None
    for step in steps_us:
        now += timedelta(microseconds=step)
        stamp = arrivals.stamp(now)
        assert now <= stamp <= now + MAX_LEAD
        assert last is None or stamp - last >= STEP
        last = stamp
