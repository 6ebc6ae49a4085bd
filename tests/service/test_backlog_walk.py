"""What a sensor had kept and hands over late: no live alarm for the past, and nothing lost."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.alarms.alarm import AlarmState
from service.alarms.journal import Happened
from service.rules.held_back import HOLD
from tests.service.shed_in_a_folder import CONFIGURATION, EVENING, MINUTE, Shed, said, shed_in

ALWAYS = CONFIGURATION.replace('when = "night"\n', "")
HOUR = timedelta(hours=1)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    with shed_in(tmp_path / "data", ALWAYS) as shed:
        yield shed


def hand_over(shed: Shed, values: list[tuple[float, timedelta]], every: timedelta) -> None:
    """Each stretch of ``celsius`` for so long; the last reading is of the present."""
    lasts = sum((span for _, span in values), timedelta(0))
    at = EVENING - lasts
    messages = []
    for celsius, span in values:
        for _ in range(span // every):
            at += every
            # A thousand readings a second or so.
            messages.append(said(celsius, at, received_at=EVENING + (at - EVENING) / 60_000))
    shed.walk(*messages)


def test_a_day_of_backlog_with_a_cold_night_in_it_raises_nothing_live(shed: Shed) -> None:
    hand_over(shed, [(8.0, 6 * HOUR), (4.0, 8 * HOUR), (8.0, 9 * HOUR)], 2 * MINUTE)
    (alarm,) = shed.alarms("cold-night")
    assert alarm.state is AlarmState.RETURNED_UNACKNOWLEDGED
    happened = [one.happened for one in shed.stores.records.alarms.journal(None, None)]
    assert happened == [Happened.TOLD_LATE]


def test_what_happened_meanwhile_is_told_with_its_times(shed: Shed) -> None:
    hand_over(shed, [(8.0, 6 * HOUR), (4.0, 8 * HOUR), (8.0, 9 * HOUR)], 2 * MINUTE)
    (alarm,) = shed.alarms("cold-night")
    assert alarm.text.startswith(
        "While nobody listened: Hazel 4.0°, under 5° from 05:02 to 13:17. It is over."
    )
    assert alarm.raised_at == EVENING - 17 * HOUR + 12 * MINUTE
    assert alarm.cleared_at == EVENING - 9 * HOUR + 17 * MINUTE
    assert alarm.told_at is not None
    assert EVENING - MINUTE < alarm.told_at <= EVENING


def test_two_excursions_are_each_told_once(shed: Shed) -> None:
    cold_twice = [(8.0, HOUR), (4.0, HOUR), (8.0, HOUR), (4.0, HOUR), (8.0, 4 * HOUR)]
    hand_over(shed, cold_twice, 2 * MINUTE)
    assert len(shed.alarms("cold-night")) == 2


def test_a_backlog_that_ends_cold_raises_an_alarm_with_its_last_reading(shed: Shed) -> None:
    hand_over(shed, [(8.0, 6 * HOUR), (4.0, 3 * HOUR)], 2 * MINUTE)
    (alarm,) = shed.alarms("cold-night")
    assert alarm.state is AlarmState.UNACKNOWLEDGED
    assert alarm.raised_at == EVENING - 3 * HOUR + 12 * MINUTE
    assert alarm.text.startswith("Hazel 4.0°, under 5° since 19:02")


def test_a_backlog_that_breaks_off_cold_raises_an_alarm_five_minutes_later(shed: Shed) -> None:
    broken_off = [said(4.0, EVENING - HOUR + n * MINUTE, received_at=EVENING) for n in range(30)]
    shed.walk(*broken_off)
    shed.tick(EVENING + HOLD - timedelta(seconds=1))
    assert shed.alarms("cold-night") == []
    shed.tick(EVENING + HOLD)
    (alarm,) = shed.alarms("cold-night")
    assert (alarm.state, alarm.told_at) == (AlarmState.UNACKNOWLEDGED, EVENING + HOLD)


def test_a_sender_whose_clock_is_behind_is_held_back_once_and_no_longer(shed: Shed) -> None:
    for n in range(20):
        now = EVENING + n * MINUTE
        shed.walk(said(4.0, now - 3 * HOUR, received_at=now))
    (alarm,) = shed.alarms("cold-night")
    assert alarm.state is AlarmState.UNACKNOWLEDGED
    assert alarm.told_at is not None
    assert alarm.told_at <= EVENING + 10 * MINUTE + HOLD + MINUTE


def test_what_was_told_live_by_one_sensor_is_not_told_late_by_another(tmp_path: Path) -> None:
    second = ALWAYS.replace('place = "box-1"\ninterval', 'place = "shed"\ninterval')
    with shed_in(tmp_path / "pair", second) as shed:
        for n in range(60):
            now = EVENING + n * MINUTE
            shed.walk(said(4.0 if n < 30 else 8.0, now))
        late = [
            said(
                4.0 if n < 30 else 8.0,
                EVENING + n * MINUTE,
                device="th-box",
                received_at=EVENING + 70 * MINUTE,
            )
            for n in range(60)
        ]
        shed.walk(*late)
        assert len(shed.alarms("cold-night")) == 1
