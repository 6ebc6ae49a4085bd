"""Deadlines when the terms of sensors are changed while somebody listens."""

from datetime import UTC, datetime, timedelta

from devices.sensor import Sensor
from service.overdue_path import NEVER, deadlines_after_a_change
from service.store.reading_store import Heard

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def sensor(device: str, minutes: float) -> Sensor:
    return Sensor(
        device=device,
        place="shed",
        interval=minutes * MINUTE / 3,
        overdue_after=minutes * MINUTE,
    )


def heard(device: str, ago: float, deadline: float) -> Heard:
    """Heard so many minutes ago, overdue in so many."""
    return Heard(device=device, at=NOON - ago * MINUTE, deadline=NOON + deadline * MINUTE)


def test_sensors_whose_terms_stay_keep_their_deadlines() -> None:
    before = [sensor("a", 3), sensor("b", 3)]
    after = [sensor("a", 3), sensor("b", 3), sensor("c", 9)]
    stored = [heard("a", 1, 2), heard("b", 5, -2)]
    assert deadlines_after_a_change(stored, before, after, NOON) == ()


def test_a_silence_goes_on_when_less_of_it_is_allowed() -> None:
    moved = deadlines_after_a_change([heard("a", 8, 2)], [sensor("a", 10)], [sensor("a", 3)], NOON)
    assert moved == (heard("a", 8, -5),)


def test_a_silence_is_given_what_more_is_allowed_and_no_more() -> None:
    moved = deadlines_after_a_change([heard("a", 8, 2)], [sensor("a", 10)], [sensor("a", 30)], NOON)
    assert moved == (heard("a", 8, 22),)


def test_one_that_was_never_heard_counts_from_when_it_was_set_up() -> None:
    never = Heard(device="a", at=NEVER, deadline=NOON + 2 * MINUTE)
    (moved,) = deadlines_after_a_change([never], [sensor("a", 10)], [sensor("a", 5)], NOON)
    assert moved.deadline == NOON - 3 * MINUTE


def test_one_that_is_set_up_again_begins_now() -> None:
    moved = deadlines_after_a_change([heard("a", 5000, -4990)], [], [sensor("a", 10)], NOON)
    assert moved == (heard("a", 5000, 10),)
