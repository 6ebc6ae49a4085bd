"""Alarms of limits and sensors that were taken away: they end, and say why."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from service.alarms.alarm import AlarmState
from service.wiring import reading_path
from tests.service.shed_in_a_folder import CONFIGURATION, EVENING, MINUTE, Shed, load, said, shed_in

BOX_LIMIT = """
[[limit]]
id = "cold-box"
place = "box-1"
quantity = "temperature"
low = 5.0
on_delay = "2 min"
"""
BOX_SENSOR = '[[sensor]]\ndevice = "th-box"\nplace = "box-1"\ninterval = "60 s"\n'
WITH_LIMIT = CONFIGURATION + BOX_LIMIT


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    """Cold in the box for five minutes, and an alarm of it."""
    with shed_in(tmp_path / "data", WITH_LIMIT) as opened:
        for n in range(6):
            opened.walk(said(2.0, EVENING + n * MINUTE, device="th-box"))
        assert [alarm.state for alarm in opened.alarms("cold-box")] == [AlarmState.UNACKNOWLEDGED]
        yield opened


def set_up_anew(shed: Shed, configuration: str, now: datetime, *, fault: bool = False) -> None:
    """As when settings are changed under a running watch."""
    settings = load(shed.data, configuration)
    shed.path = reading_path(settings, shed.stores, settled=not fault)
    shed.path.restore(now, forgiving=False)
    shed.path.save_alarms()


def test_the_alarm_of_the_last_sensor_at_a_place_ends_and_says_that_nobody_can_tell(
    shed: Shed,
) -> None:
    set_up_anew(shed, WITH_LIMIT.replace(BOX_SENSOR, ""), EVENING + 6 * MINUTE)
    (alarm,) = shed.alarms("cold-box")
    assert alarm.state is AlarmState.RETURNED_UNACKNOWLEDGED
    assert alarm.text.endswith("nobody can tell whether it is over.")


def test_the_alarm_of_a_limit_that_is_set_no_more_ends_and_says_so(shed: Shed) -> None:
    set_up_anew(shed, CONFIGURATION, EVENING + 6 * MINUTE)
    (alarm,) = shed.alarms("cold-box")
    assert alarm.state is AlarmState.RETURNED_UNACKNOWLEDGED
    assert alarm.text.endswith("This limit does not hold any more.")


def test_an_alarm_goes_on_under_the_sensor_that_replaces_the_one_that_raised_it(
    shed: Shed,
) -> None:
    replaced = WITH_LIMIT.replace('device = "th-box"', 'device = "th-new"')
    set_up_anew(shed, replaced, EVENING + 6 * MINUTE)
    (alarm,) = shed.alarms("cold-box")
    assert alarm.state is AlarmState.UNACKNOWLEDGED
    for n in range(7, 20):
        shed.walk(said(2.0, EVENING + n * MINUTE, device="th-new"))
    assert len(shed.alarms("cold-box")) == 1


def test_an_alarm_is_neither_repeated_nor_ended_by_another_change(shed: Shed) -> None:
    before = shed.alarms("cold-box")
    set_up_anew(shed, WITH_LIMIT.replace('id = "hazel"', 'id = "elm"'), EVENING + 6 * MINUTE)
    shed.tick(EVENING + 7 * MINUTE)
    assert shed.alarms("cold-box") == before


def test_while_the_configuration_is_at_fault_no_alarm_ends_for_what_it_lacks(shed: Shed) -> None:
    set_up_anew(shed, CONFIGURATION.replace(BOX_SENSOR, ""), EVENING + 6 * MINUTE, fault=True)
    (alarm,) = shed.alarms("cold-box")
    assert alarm.state is AlarmState.UNACKNOWLEDGED
