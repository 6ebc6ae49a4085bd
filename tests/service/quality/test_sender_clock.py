"""A clock that is wrong shows by what it stamps; readings that were kept do not."""

from collections.abc import Sequence
from datetime import timedelta
from random import Random

from service.quality.sender_clock import ClockTrack, hear

HOUR, MINUTE, SECOND = timedelta(hours=1), timedelta(minutes=1), timedelta(seconds=1)
RIGHT = -2 * SECOND


def heard(ahead: Sequence[timedelta], every: timedelta = 2 * MINUTE) -> ClockTrack:
    track = ClockTrack()
    for one in ahead:
        track = hear(track, one, every)
    return track


def test_a_clock_that_is_right_is_not_wrong() -> None:
    assert not heard([RIGHT] * 100).wrong


def test_one_message_from_the_future_proves_nothing() -> None:
    assert not heard([RIGHT, 3 * HOUR, RIGHT, 3 * HOUR, RIGHT]).wrong


def test_a_clock_ahead_is_known_by_its_second_message() -> None:
    assert heard([RIGHT, 3 * HOUR, 3 * HOUR]).wrong


def test_a_clock_that_stays_behind_is_known_after_ten_minutes() -> None:
    assert not heard([-3 * HOUR] * 5).wrong
    assert heard([-3 * HOUR] * 6).wrong


def test_readings_that_were_kept_and_catch_up_are_no_clock() -> None:
    # A night's readings of each two minutes, sent one a second.
    night = [-n * 2 * MINUTE for n in range(400, 0, -1)]
    assert not heard(night, every=SECOND).wrong


def test_readings_that_catch_up_slowly_are_no_clock() -> None:
    # Two minutes of the past for each minute that passes.
    assert not heard([-n * MINUTE for n in range(200, 0, -1)], every=MINUTE).wrong


def test_a_clock_of_1970_is_known_by_its_second_message() -> None:
    assert heard([-timedelta(days=20_000), -timedelta(days=20_001)]).wrong is False
    assert heard([-timedelta(days=20_000)] * 2).wrong


def test_a_clock_put_right_is_right_after_two_messages() -> None:
    wrong = [3 * HOUR] * 3
    assert heard([*wrong, RIGHT]).wrong
    assert not heard([*wrong, RIGHT, RIGHT]).wrong


def test_a_clock_at_the_edge_does_not_come_and_go() -> None:
    # About 5 minutes ahead, by a radio that is now and then half a minute late: for a day.
    chance, track, changes = Random(3), ClockTrack(), 0
    for _ in range(24 * 60):
        ahead = timedelta(seconds=300 + chance.gauss(0, 30))
        after = hear(track, ahead, MINUTE)
        changes += after.wrong is not track.wrong
        track = after
    assert changes == 1
