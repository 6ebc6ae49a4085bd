"""The stream of all messages: order, repeatability, stretches, constant memory."""

import tracemalloc
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import pairwise

import pytest

from devices.sensor import Format
from simulated_feeds.day import DAY, ShedDay
from simulated_feeds.happening import What
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.senders.parameters import SenderKind
from simulated_feeds.stream import Sent, messages
from tests.simulated_feeds.hand_made_days import START, smooth_days
from tests.simulated_feeds.senders.made_senders import at, happens, scale, sender

SENDERS = (
    sender(powers_on_at_85=True),
    sender("gw", format=Format.JSON),
    sender("eye", kind=SenderKind.LIGHT, format=Format.NUMBER),
    scale(),
)
BAD = (
    happens(What.BACKLOG, 20, 30),
    happens(What.TWIN, 3, 40),
    happens(What.STOPS, 5, 26, "gw"),
    happens(What.STUCK, 20, 50, "eye"),
    happens(What.DROPS, 0, 72, "scale-1", 0.1),
    happens(What.REBOOTS, 23.9, 24.1, "scale-1"),
    happens(What.BATTERY_SAGS, 30, 60, "scale-1"),
)


def stretch(since: datetime | None = None, until: datetime | None = None) -> list[Sent]:
    return list(
        messages(
            smooth_days(3, ("box-1",)),
            SENDERS,
            seed=11,
            happenings=BAD,
            since=since,
            until=until,
            statuses=True,
        )
    )


@pytest.fixture(scope="module")
def whole() -> list[Sent]:
    return stretch()


def test_equal_seeds_give_equal_bytes(whole: list[Sent]) -> None:
    assert stretch() == whole


def test_another_seed_gives_other_bytes(whole: list[Sent]) -> None:
    other = list(messages(smooth_days(1, ("box-1",)), SENDERS, seed=12, happenings=BAD))
    assert other != [one for one in whole if one.at < START + DAY and not one.retain]


def test_messages_come_in_time_order(whole: list[Sent]) -> None:
    assert all(earlier.at <= later.at for earlier, later in pairwise(whole))


@pytest.mark.parametrize(
    ("since", "until"),
    [(0, 5), (4.5, 27), (23.99, 24.01), (29.9, 30.1), (30.0005, 30.001), (50, 72), (13, 13)],
)
def test_any_stretch_has_the_bytes_of_the_whole(
    whole: list[Sent], since: float, until: float
) -> None:
    expected = [one for one in whole if at(since) <= one.at < at(until)]
    assert stretch(at(since), at(until)) == expected


def test_two_stretches_make_a_whole(whole: list[Sent]) -> None:
    middle = START + timedelta(hours=30, seconds=1)
    assert stretch(None, middle) + stretch(middle, None) == whole


def test_statuses_are_left_out_unless_asked_for(whole: list[Sent]) -> None:
    silent = list(messages(smooth_days(3, ("box-1",)), SENDERS, seed=11, happenings=BAD))
    assert silent == [one for one in whole if not one.topic.endswith("/status")]
    assert any(one.retain for one in whole)


def test_no_more_days_are_taken_than_needed() -> None:
    taken = []

    def days() -> Iterator[ShedDay]:
        for day in smooth_days(5, ("box-1",)):
            taken.append(day.air.at)
            yield day

    list(messages(days(), SENDERS, seed=1, until=START + DAY))
    assert taken == [START]


def test_what_cannot_happen_is_refused_before_anything_is_told() -> None:
    with pytest.raises(ImpossibleParameterError):
        messages(smooth_days(1), SENDERS, seed=1, happenings=[happens(What.STOPS, 1, 2, "th-9")])


def test_adding_a_sender_changes_no_byte_of_the_others() -> None:
    alone, together = (
        list(messages(smooth_days(1, ("box-1",)), senders, seed=11))
        for senders in (SENDERS[:1], SENDERS)
    )
    assert alone == [one for one in together if one.topic == SENDERS[0].topic]


def most_memory(days: int) -> int:
    """The largest number of bytes that were in use at once while all messages passed."""
    tracemalloc.start()
    try:
        for _ in messages(smooth_days(days, ("box-1",)), SENDERS, seed=11, happenings=BAD):
            pass
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_memory_does_not_grow_with_the_days() -> None:
    # It takes some seconds, since every piece of memory is watched.
    most_memory(1)  # what is made once
    assert most_memory(12) < 1.1 * most_memory(3)
