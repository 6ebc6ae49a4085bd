"""Damp, a fast fall and a heater that does not hold, through the whole walk of a reading."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from devices.message import Message
from service.alarms.alarm import AlarmState
from service.rules.limit import Priority
from tests.service.reading_rules_shed import (
    CONFIGURATION,
    MINUTE,
    by_time,
    every_minute,
    local,
    rules_told,
    told,
    told_late,
)
from tests.service.shed_in_a_folder import Shed

AT = local(1)
# Dew point of 10 °C at 80 %: 6.7 °C (the Magnus form of WMO-No. 8, annex 4.B).


def damp(since: datetime, minutes: int) -> Iterator[Message]:
    return every_minute(since, minutes, temperature=10.0, relative_humidity=80.0)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    one = Shed(tmp_path / "data", CONFIGURATION)
    one.path.restore(AT)
    yield one
    one.stores.close()


def test_half_an_hour_of_a_wet_pane_is_told_with_how_it_is_known(shed: Shed) -> None:
    pane = every_minute(AT, 32, device="t-pane", temperature=6.0)
    shed.walk(*by_time(pane, damp(AT, 32)))
    (alarm,) = shed.alarms("condensation:shed")
    assert alarm.raised_at == AT + 30 * MINUTE
    assert alarm.priority is Priority.LOW
    assert alarm.text == (
        "Hazel: water gathers on the coldest surface since 01:00; it is 0.7° colder than the "
        "air's dew point, by the sensor on it. Open a vent, wipe it dry, and see whether bedding "
        "is wet."
    )


def test_a_pane_without_a_sensor_is_reckoned_from_the_air_outdoors(shed: Shed) -> None:
    # 2 + 0.3 (10 - 2) = 4.4 °C, by the temperature factor of ISO 13788.
    outdoors = every_minute(AT, 32, device="th-out", temperature=2.0)
    shed.walk(*by_time(outdoors, damp(AT, 32)))
    (alarm,) = shed.alarms("condensation:shed")
    assert alarm.value == pytest.approx(4.4 - 6.71, abs=0.05)
    assert "by what set-up says of it" in alarm.text


def test_where_nobody_knows_how_cold_the_pane_is_nothing_is_told(shed: Shed) -> None:
    shed.walk(*damp(AT, 60))
    assert rules_told(shed) == []


def test_a_pane_that_falls_silent_while_wet_keeps_the_alarm_up(shed: Shed) -> None:
    pane = every_minute(AT, 40, device="t-pane", temperature=6.0)
    shed.walk(*by_time(pane, damp(AT, 400)))
    (alarm,) = shed.alarms("condensation:shed")
    assert alarm.state is AlarmState.UNACKNOWLEDGED


def test_a_pane_that_dried_for_an_hour_ends_it(shed: Shed) -> None:
    wet = every_minute(AT, 40, device="t-pane", temperature=6.0)
    dry = every_minute(AT + 40 * MINUTE, 80, device="t-pane", temperature=9.0)
    shed.walk(*by_time(wet, dry, damp(AT, 120)))
    (alarm,) = shed.alarms("condensation:shed")
    assert alarm.cleared_at == AT + 100 * MINUTE


def test_a_wet_pane_is_known_after_a_start_anew(shed: Shed) -> None:
    pane = every_minute(AT, 40, device="t-pane", temperature=6.0)
    shed.walk(*by_time(pane, damp(AT, 40)))
    shed.restart(AT + 40 * MINUTE)
    (alarm,) = shed.alarms("condensation:shed")
    assert alarm.state is AlarmState.UNACKNOWLEDGED


def test_a_delay_goes_on_where_a_start_broke_it(shed: Shed) -> None:
    def minutes(first: int, end: int) -> None:
        span = end - first
        pane = every_minute(AT + first * MINUTE, span, device="t-pane", temperature=6.0)
        shed.walk(*by_time(pane, damp(AT + first * MINUTE, span)))

    minutes(0, 20)
    shed.restart(AT + 20 * MINUTE)
    minutes(20, 32)
    (alarm,) = shed.alarms("condensation:shed")
    assert alarm.raised_at == AT + 30 * MINUTE


def test_a_heater_that_does_not_hold_is_told_before_the_cold_limit(shed: Shed) -> None:
    shed.walk(*every_minute(AT, 32, temperature=2.9))
    (alarm,) = shed.alarms("heater:shed")
    assert alarm.raised_at == AT + 30 * MINUTE
    assert alarm.text == (
        "Hazel 2.9°, well under the 5° of its heater since 01:00. See whether the heater has "
        "power and is warm, and close vents."
    )


def test_the_swing_of_a_thermostat_says_nothing(shed: Shed) -> None:
    cycles = [told(AT + n * MINUTE, temperature=3.6 + (n % 40) / 20.0) for n in range(240)]
    shed.walk(*cycles)
    assert rules_told(shed) == []


def falling(k_per_h: float, from_c: float, minutes: int = 60) -> list[Message]:
    return [told(AT + n * MINUTE, temperature=from_c - k_per_h * n / 60.0) for n in range(minutes)]


def test_a_steep_fall_is_told_after_forty_minutes(shed: Shed) -> None:
    shed.walk(*falling(6.0, from_c=13.0))
    (alarm,) = shed.alarms("fast-fall:shed")
    assert alarm.raised_at == AT + 40 * MINUTE
    assert alarm.text.startswith("Hazel cools by 6° an hour and more since 01:00, 9.0° when ")


@pytest.mark.parametrize(("k_per_h", "from_c"), [(2.0, 13.0), (6.0, 28.0)])
def test_an_evening_and_a_relief_from_heat_say_nothing(
    shed: Shed, k_per_h: float, from_c: float
) -> None:
    shed.walk(*falling(k_per_h, from_c))
    assert rules_told(shed) == []


def test_a_backlog_of_a_night_that_is_over_raises_nothing_live(shed: Shed) -> None:
    now = AT + 600 * MINUTE
    past = [
        told_late(AT + n * MINUTE, now, temperature=2.0 if n < 300 else 8.0) for n in range(600)
    ]
    shed.walk(*past)
    (alarm,) = shed.alarms("heater:shed")
    assert alarm.state is AlarmState.RETURNED_UNACKNOWLEDGED
    assert alarm.text.startswith("While nobody listened: Hazel 2.0°")


def test_a_rule_that_is_switched_off_ends_its_alarm(shed: Shed) -> None:
    shed.walk(*every_minute(AT, 40, temperature=2.9))
    shed.stores.close()
    off = Shed(shed.data, CONFIGURATION + '[[rule]]\nkind = "heater"\non = false\n')
    off.path.restore(AT + 41 * MINUTE)
    off.path.save_alarms()
    (alarm,) = off.alarms("heater:shed")
    assert not alarm.state.active
    assert alarm.text.endswith("This rule is switched off, or lacks what it goes by.")
    off.stores.close()


def test_a_number_that_the_keeper_set_holds(tmp_path: Path) -> None:
    own = '[[rule]]\nkind = "heater"\nnumbers = { below_k = 1.0, for_min = 15 }\n'
    shed = Shed(tmp_path / "own", CONFIGURATION + own)
    shed.path.restore(AT)
    shed.walk(*every_minute(AT, 20, temperature=3.9))
    (alarm,) = shed.alarms("heater:shed")
    assert (alarm.raised_at, alarm.setpoint) == (AT + 15 * MINUTE, 4.0)
    shed.stores.close()
