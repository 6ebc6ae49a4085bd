"""Runs, silences and retained statuses of a device."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from simulated_feeds.day import DAY, Minutes
from simulated_feeds.happening import Happening, What
from simulated_feeds.senders.life import Life, LifeDay
from simulated_feeds.senders.parameters import Sender
from simulated_feeds.senders.spans import ms_of
from tests.simulated_feeds.hand_made_days import START, air_day, even
from tests.simulated_feeds.senders.made_senders import happens, sender

HOUR_MS = 3_600_000


def lives(
    happenings: Sequence[Happening] = (),
    *,
    days: int = 1,
    one: Sender | None = None,
    twin: bool = False,
    mains: Minutes | float = 1.0,
) -> list[LifeDay]:
    life = Life(one or sender(), happenings, twin=twin)
    return [life.day(air_day(START + n * DAY, mains=mains)) for n in range(days)]


def statuses(found: Sequence[LifeDay]) -> list[tuple[float, bool]]:
    """In hours since the beginning, and whether alive."""
    start = ms_of(START)
    return [((ms - start) / HOUR_MS, alive) for day in found for ms, alive in day.statuses]


def run_at(found: LifeDay, hour: float) -> int:
    return int(found.runs(np.array([ms_of(START) + round(HOUR_MS * hour)]))[0])


def test_device_that_nothing_happens_to_has_one_run_and_one_status() -> None:
    found = lives(days=3)
    assert [len(day.restarts) for day in found] == [0, 0, 0]
    assert statuses(found) == [(0.0, True)]


def test_one_that_stops_is_told_gone_by_its_will_and_back_in_a_new_run() -> None:
    (found,) = lives([happens(What.STOPS, 6, 8)])
    assert statuses([found]) == [(0.0, True), (6.0125, False), (8.0, True)]
    assert [run_at(found, hour) for hour in (5.9, 8.0)] == [0, 1]


def test_silence_shorter_than_the_will_is_not_told() -> None:
    (found,) = lives([happens(What.STOPS, 6, 6 + 30 / 3600)])
    assert [alive for _, alive in statuses([found])] == [True, True]
    assert run_at(found, 7) == 1


def test_silence_over_midnight_is_one_silence() -> None:
    found = lives([happens(What.STOPS, 23.999, 30)], days=2)
    assert statuses(found) == [(0.0, True), (24.0115, False), (30.0, True)]
    assert [day.run_before for day in found] == [0, 0]
    assert run_at(found[1], 31) == 1


def test_silence_that_ends_at_midnight_ends_there() -> None:
    found = lives([happens(What.STOPS, 20, 24)], days=2)
    assert statuses(found) == [(0.0, True), (20.0125, False), (24.0, True)]
    assert run_at(found[1], 24) == 1


def test_silence_of_days_is_told_once() -> None:
    found = lives([happens(What.STOPS, 12, 84)], days=4)
    assert statuses(found) == [(0.0, True), (12.0125, False), (84.0, True)]
    assert run_at(found[3], 85) == 1


def test_power_cut_silences_who_lives_on_the_mains_alone() -> None:
    power = even(1.0)
    power[120:180] = 0.0
    (on_mains,) = lives(one=sender(on_battery=False), mains=power)
    (on_battery,) = lives(mains=power)
    assert statuses([on_mains]) == [(0.0, True), (2.0125, False), (3.0, True)]
    assert statuses([on_battery]) == [(0.0, True)]


def test_loop_of_reboots_begins_a_run_every_time_and_one_more_after_it() -> None:
    (found,) = lives([happens(What.REBOOTS, 6, 6.1)])
    assert len(found.boots) == 120  # every 3 s of 6 minutes
    assert len(found.restarts) == 121
    assert {round(gap) for gap in np.diff(found.boots)} == {3000}
    assert not any(not alive for _, alive in statuses([found]))


def test_loop_that_ends_at_midnight_is_over_then() -> None:
    found = lives([happens(What.REBOOTS, 23.9, 24)], days=2)
    assert run_at(found[1], 24.0) == run_at(found[0], 23.9999) + 1


def test_twin_lives_while_it_is_said_so_and_makes_no_will_before() -> None:
    found = lives([happens(What.TWIN, 30, 50)], days=3, twin=True)
    assert statuses(found) == [(30.0, True), (50.0125, False)]
    first, last = (np.array([ms_of(START) + HOUR_MS * hour]) for hour in (29, 31))
    assert [bool(found[1].speaks(at, at)[0]) for at in (first, last)] == [False, True]


def test_backlog_is_a_lost_connection_and_no_new_run() -> None:
    (found,) = lives([happens(What.BACKLOG, 6, 8)])
    assert statuses([found]) == [(0.0, True), (6.0125, False), (8.0, True)]
    assert len(found.restarts) == 0


def test_message_whose_samples_reach_into_a_silence_is_not_sent() -> None:
    (found,) = lives([happens(What.STOPS, 6, 8)])
    start = ms_of(START)
    first = np.array([start + round(HOUR_MS * hour) for hour in (5.0, 5.99, 6.5, 7.99, 8.0)])
    assert found.speaks(first, first + 60_000).tolist() == [True, False, False, False, True]


def test_runs_only_ever_count_up() -> None:
    found = lives([happens(What.STOPS, 3 + 7 * n, 5 + 7 * n) for n in range(10)], days=4)
    runs = [run_at(found[hour // 24], hour) for hour in range(96)]
    assert all(later >= earlier for earlier, later in pairwise(runs))
    assert runs[-1] == 10
