"""Which silences have one cause."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from service.rules.overdue_together import Quiet, fell_silent_together

STOP = datetime(2026, 3, 1, 21, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def quiet(device: str, before_s: float, interval: timedelta = MINUTE) -> Quiet:
    """Last heard so many seconds before they stopped."""
    return Quiet(device=device, last=STOP - timedelta(seconds=before_s), interval=interval)


@given(st.lists(st.floats(0.0, 59.0), min_size=3, max_size=40))
def test_all_that_stop_at_one_instant_are_found_when_the_first_is_overdue(
    phases: list[float],
) -> None:
    stopped = [quiet(str(number), phase) for number, phase in enumerate(phases)]
    first_overdue = STOP - timedelta(seconds=max(phases)) + 3 * MINUTE
    together = fell_silent_together(stopped, first_overdue)
    assert together == {one.device for one in stopped}


def test_one_that_reports_is_not_of_them() -> None:
    stopped = [quiet(name, 20) for name in "abc"]
    speaks = Quiet(device="d", last=STOP + 3 * MINUTE, interval=MINUTE)
    assert fell_silent_together([*stopped, speaks], STOP + 3 * MINUTE) == set("abc")


def test_seldom_senders_join_once_they_are_late() -> None:
    often = [quiet(name, 20) for name in "abc"]
    seldom = quiet("d", 700, interval=15 * MINUTE)
    assert fell_silent_together([*often, seldom], STOP + 3 * MINUTE) == set("abc")
    assert fell_silent_together([*often, seldom], STOP + 30 * MINUTE) == set("abcd")


def test_three_that_stopped_one_after_another_have_no_common_cause() -> None:
    apart = [quiet("a", 0), quiet("b", 600), quiet("c", 1200)]
    assert fell_silent_together(apart, STOP + 10 * MINUTE) == frozenset()


def test_two_may_be_chance() -> None:
    assert fell_silent_together([quiet("a", 5), quiet("b", 9)], STOP + 5 * MINUTE) == frozenset()
