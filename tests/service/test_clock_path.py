"""A sender whose clock is wrong, through the whole walk."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.alarms.alarm import AlarmState
from service.rules.limit import Priority
from tests.service.shed_in_a_folder import EVENING, MINUTE, Shed, said, shed_in

RULE = "clock:th-box"
HOUR = timedelta(hours=1)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    with shed_in(tmp_path / "data") as shed:
        yield shed


def stamped(shed: Shed, ahead: timedelta, since: int, until: int) -> None:
    """A reading a minute of a sender whose clock is ``ahead``."""
    for n in range(since, until):
        now = EVENING + n * MINUTE
        shed.walk(said(8.0, now + ahead, device="th-box", received_at=now))


def test_a_clock_that_is_ahead_raises_a_low_alarm_that_says_what_to_do(shed: Shed) -> None:
    stamped(shed, 3 * HOUR, 0, 2)
    (alarm,) = shed.alarms(RULE)
    assert alarm.priority is Priority.LOW
    assert alarm.text == (
        "Box 1: the clock of th-box is 3 hours ahead, seen at 22:01. Its readings are kept by "
        "the time they come. Start it anew, or set its clock."
    )


def test_a_clock_that_is_behind_makes_warnings_late_and_comes_first(shed: Shed) -> None:
    stamped(shed, -2 * HOUR, 0, 12)
    (alarm,) = shed.alarms(RULE)
    assert (alarm.priority, alarm.value) == (Priority.MEDIUM, -7200.0)


def test_a_clock_put_right_clears_the_alarm(shed: Shed) -> None:
    stamped(shed, 3 * HOUR, 0, 5)
    stamped(shed, timedelta(0), 5, 7)
    (alarm,) = shed.alarms(RULE)
    assert alarm.state is AlarmState.RETURNED_UNACKNOWLEDGED


def test_a_wrong_clock_is_still_known_after_a_start(shed: Shed) -> None:
    stamped(shed, 3 * HOUR, 0, 5)
    shed.restart(EVENING + 5 * MINUTE)
    stamped(shed, 3 * HOUR, 5, 8)
    assert len(shed.alarms(RULE)) == 1
    stamped(shed, timedelta(0), 8, 10)
    assert not shed.alarms(RULE)[0].state.active


def test_what_a_sensor_had_kept_while_it_was_away_is_no_clock(shed: Shed) -> None:
    now = EVENING + 5 * HOUR
    shed.walk(
        *[
            said(8.0, EVENING + n * MINUTE, device="th-box", received_at=now + n * MINUTE / 60)
            for n in range(300)
        ]
    )
    assert shed.alarms(RULE) == []
