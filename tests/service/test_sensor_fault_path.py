"""Sensors that are stuck, that fail, or whose battery runs low, through the whole walk."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from devices.message import Message
from service.alarms.alarm import AlarmState
from service.alarms.suppression import SuppressionKind
from service.rules.limit import Priority
from tests.service.reading_rules_shed import CONFIGURATION, MINUTE, local, rules_told, told
from tests.service.shed_in_a_folder import Shed

AT = local(1)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    one = Shed(tmp_path / "data", CONFIGURATION)
    one.path.restore(AT)
    yield one
    one.stores.close()


def moving(first: int, end: int) -> list[Message]:
    """Air that moves as air does, in hundredths."""
    return [told(AT + n * MINUTE, temperature=9.0 + (n % 5) / 100.0) for n in range(first, end)]


def the_same(first: int, end: int, value: float = 9.37) -> list[Message]:
    return [told(AT + n * MINUTE, temperature=value) for n in range(first, end)]


def test_a_stuck_thermometer_is_told_within_two_hours_and_a_little(shed: Shed) -> None:
    shed.walk(*moving(0, 60), *the_same(60, 200))
    (alarm,) = shed.alarms("stuck:th-shed")
    stuck_for = alarm.raised_at - (AT + 60 * MINUTE)
    assert timedelta(hours=2) <= stuck_for <= timedelta(hours=2, minutes=5)
    assert alarm.priority is Priority.MEDIUM
    assert alarm.text.startswith("Hazel's sensor th-shed is stuck: its temperature does not move")


def test_one_that_moves_again_for_ten_minutes_ends_it(shed: Shed) -> None:
    shed.walk(*moving(0, 60), *the_same(60, 200), *moving(200, 230))
    (alarm,) = shed.alarms("stuck:th-shed")
    assert not alarm.state.active


def test_a_start_anew_does_not_take_it_for_well(shed: Shed) -> None:
    shed.walk(*moving(0, 60), *the_same(60, 200))
    shed.restart(AT + 200 * MINUTE)
    (alarm,) = shed.alarms("stuck:th-shed")
    assert alarm.state is AlarmState.UNACKNOWLEDGED
    shed.walk(*the_same(200, 240))
    (alarm,) = shed.alarms("stuck:th-shed")
    assert alarm.state is AlarmState.UNACKNOWLEDGED


def test_lamps_that_burn_evenly_are_no_stuck_sensor(shed: Shed) -> None:
    shed.walk(*(told(local(7) + n * MINUTE, illuminance=450.0) for n in range(600)))
    assert rules_told(shed) == []


def test_five_readings_that_can_not_be_are_told_with_their_number(shed: Shed) -> None:
    shed.walk(*moving(0, 30), *the_same(30, 35, value=180.0))
    (alarm,) = shed.alarms("failing:th-shed")
    assert alarm.raised_at == AT + 34 * MINUTE
    assert alarm.text == (
        "Hazel's sensor th-shed fails: 5 of its last 20 readings of temperature can't be, seen "
        "at 01:34. Look at the birds, then at its plug and wires."
    )


def test_four_say_nothing(shed: Shed) -> None:
    shed.walk(*moving(0, 30), *the_same(30, 34, value=180.0), *moving(34, 60))
    assert "failing:th-shed" not in rules_told(shed)


def test_twenty_good_ones_in_a_row_end_it_and_nineteen_do_not(shed: Shed) -> None:
    shed.walk(*moving(0, 30), *the_same(30, 35, value=180.0), *moving(35, 54))
    assert shed.alarms("failing:th-shed")[0].state.active
    shed.walk(*moving(54, 55))
    assert not shed.alarms("failing:th-shed")[0].state.active


def test_a_sensor_that_fails_is_not_told_as_silent_too(shed: Shed) -> None:
    shed.walk(*moving(0, 30), *the_same(30, 40, value=180.0))
    (overdue,) = shed.alarms("overdue:th-shed")
    assert overdue.suppressed is SuppressionKind.BY_DESIGN


def charge(percent: float, n: int) -> Message:
    return told(AT + n * timedelta(hours=1), battery=percent)


def test_a_battery_below_its_setpoint_is_told_once_until_a_new_one_is_in(shed: Shed) -> None:
    shed.walk(*(charge(percent, n) for n, percent in enumerate([16.0, 14.0, 16.0, 14.0, 13.0])))
    (alarm,) = shed.alarms("battery:th-shed")
    assert alarm.raised_at == AT + timedelta(hours=1)
    assert alarm.priority is Priority.LOW
    assert alarm.text == (
        "Hazel's sensor th-shed: battery 14 %. Put in a new one on your next visit."
    )
    shed.walk(charge(98.0, 6))
    (alarm,) = shed.alarms("battery:th-shed")
    assert not alarm.state.active


@pytest.fixture
def dying(shed: Shed) -> Shed:
    shed.walk(*(charge(percent, n) for n, percent in enumerate([60.0, 45.0, 28.0])))
    shed.walk(told(AT + timedelta(hours=2, minutes=1), temperature=9.0))
    return shed


def test_a_battery_that_falls_fast_is_told_as_dying(dying: Shed) -> None:
    (alarm,) = dying.alarms("battery:th-shed")
    assert "its battery falls fast, seen at 03:01" in alarm.text


def test_one_that_rests_on_its_way_down_is_told_once(dying: Shed) -> None:
    dying.walk(charge(27.0, 30), told(AT + timedelta(hours=31), temperature=9.1), charge(13.0, 32))
    (alarm,) = dying.alarms("battery:th-shed")
    assert alarm.state is AlarmState.UNACKNOWLEDGED


def test_a_new_battery_ends_it_at_once(dying: Shed) -> None:
    dying.walk(charge(97.0, 3))
    (alarm,) = dying.alarms("battery:th-shed")
    assert alarm.cleared_at == AT + timedelta(hours=3)


def test_where_the_keeper_set_a_limit_on_batteries_that_one_speaks(tmp_path: Path) -> None:
    own = '[[limit]]\nid = "mine"\nplace = "shed"\nquantity = "battery"\nlow = 30.0\n'
    shed = Shed(tmp_path / "own", CONFIGURATION + own)
    shed.path.restore(AT)
    shed.walk(charge(20.0, 0), charge(10.0, 1))
    assert set(rules_told(shed)) == {"mine"}
    shed.stores.close()


def test_what_comes_again_after_a_start_tells_nothing_twice(shed: Shed) -> None:
    told_once = [*moving(0, 60), *the_same(60, 200), *moving(200, 230)]
    shed.walk(*told_once)
    shed.restart(AT + 230 * MINUTE)
    shed.walk(*told_once)
    assert rules_told(shed).count("stuck:th-shed") == 1
