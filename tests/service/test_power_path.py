"""A power cut, by a sensor of the mains, or by lamps and warmth together."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from devices.message import Message
from service.alarms.alarm import AlarmState
from service.alarms.suppression import SuppressionKind
from service.rules.limit import RE_ALARM_AFTER, Priority
from tests.service.reading_rules_shed import CONFIGURATION, MINUTE, every_minute, local, told
from tests.service.shed_in_a_folder import Shed

CUT = local(17, 30)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    one = Shed(tmp_path / "data", CONFIGURATION)
    one.path.restore(local(13))
    yield one
    one.stores.close()


def heated(since: datetime, minutes: int, lux: float = 400.0) -> list[Message]:
    """A heater that swings by a degree every 40 minutes."""
    return [
        told(since + n * MINUTE, illuminance=lux, temperature=10.0 + (n % 40) / 40.0)
        for n in range(minutes)
    ]


def cooling(minutes: int) -> list[Message]:
    """By 1.8 K an hour, in the dark, from the lowest that the heater let it be."""
    return [
        told(CUT + n * MINUTE, illuminance=0.0, temperature=10.0 - 1.8 * n / 60.0)
        for n in range(minutes)
    ]


def test_mains_that_are_off_for_two_minutes_are_a_cut(shed: Shed) -> None:
    shed.walk(*every_minute(CUT, 4, device="mains-eye", mains=0.0))
    (alarm,) = shed.alarms("power-cut:shed")
    assert alarm.raised_at == CUT + 2 * MINUTE
    assert alarm.priority is Priority.HIGH
    assert alarm.re_alarm_after == RE_ALARM_AFTER[Priority.HIGH]
    assert alarm.text == (
        "Hazel has no mains power since 17:30, by its mains sensor. Does the house have power? "
        "Then look at the shed's fuse. Keep doors and vents shut."
    )


def test_mains_that_come_back_by_themselves_say_nothing(shed: Shed) -> None:
    shed.walk(
        told(CUT, device="mains-eye", mains=0.0),
        told(CUT + MINUTE, device="mains-eye", mains=1.0),
        *every_minute(CUT + 2 * MINUTE, 5, device="mains-eye", mains=1.0),
    )
    assert shed.alarms("power-cut:shed") == []


def test_lamps_out_in_one_go_and_a_fall_below_all_before_are_a_cut(shed: Shed) -> None:
    shed.walk(*heated(local(13), 270), *cooling(30))
    (alarm,) = shed.alarms("power-cut:shed")
    # 0.3 K takes ten minutes; five more make sure of it.
    assert alarm.raised_at == CUT + 15 * MINUTE
    assert alarm.text.startswith(
        "Hazel: power cut? The lamps went dark at 17:30 in one go, and it is 0.4° colder than in "
        "the three hours before."
    )


def test_the_dark_of_a_cut_is_told_by_the_cut_alone(shed: Shed) -> None:
    shed.walk(*heated(local(13), 270), *cooling(30))
    (dark,) = shed.alarms("dark-by-day:shed")
    assert (dark.suppressed, dark.told_at) == (SuppressionKind.BY_DESIGN, None)


def test_lamps_that_fail_while_the_heater_goes_on_are_no_cut(shed: Shed) -> None:
    shed.walk(*heated(local(13), 270), *heated(CUT, 60, lux=2.0))
    assert shed.alarms("power-cut:shed") == []
    assert len(shed.alarms("dark-by-day:shed")) == 1


def test_cold_that_comes_hours_after_the_lamps_failed_is_no_cut(shed: Shed) -> None:
    later = [
        told(CUT + (80 + n) * MINUTE, illuminance=2.0, temperature=10.0 - n / 20.0)
        for n in range(60)
    ]
    shed.walk(*heated(local(13), 270), *heated(CUT, 80, lux=2.0), *later)
    assert shed.alarms("power-cut:shed") == []


def test_a_cut_is_over_when_the_lamps_burn_again_and_not_when_the_sun_warms(shed: Shed) -> None:
    morning = local(9, day=4)
    shed.walk(*heated(local(13), 270), *cooling(30))
    shed.walk(*every_minute(morning, 30, illuminance=60.0, temperature=12.0))
    (alarm,) = shed.alarms("power-cut:shed")
    assert alarm.state is AlarmState.UNACKNOWLEDGED
    shed.walk(told(morning + 30 * MINUTE, illuminance=390.0, temperature=12.0))
    (alarm,) = shed.alarms("power-cut:shed")
    assert alarm.cleared_at == morning + 30 * MINUTE


def test_a_start_anew_in_the_midst_of_a_cut_still_knows_how_bright_the_lamps_were(
    shed: Shed,
) -> None:
    morning = local(9, day=4)
    shed.walk(*heated(local(13), 270), *cooling(30))
    shed.restart(morning)
    shed.walk(*every_minute(morning, 10, illuminance=60.0, temperature=7.0))
    (alarm,) = shed.alarms("power-cut:shed")
    assert alarm.state is AlarmState.UNACKNOWLEDGED
    shed.walk(told(morning + 10 * MINUTE, illuminance=390.0, temperature=7.0))
    (alarm,) = shed.alarms("power-cut:shed")
    assert not alarm.state.active


def test_a_mains_sensor_knows_better_than_lamps_and_warmth(shed: Shed) -> None:
    shed.walk(*heated(local(13), 270), *cooling(30))
    shed.walk(told(CUT + 31 * MINUTE, device="mains-eye", mains=1.0))
    (alarm,) = shed.alarms("power-cut:shed")
    assert not alarm.state.active


def test_a_mains_sensor_that_falls_silent_in_a_cut_ends_nothing(shed: Shed) -> None:
    shed.walk(*every_minute(CUT, 4, device="mains-eye", mains=0.0))
    shed.restart(local(9, day=5))
    shed.tick(local(10, day=5))
    (alarm,) = shed.alarms("power-cut:shed")
    assert alarm.state is AlarmState.UNACKNOWLEDGED
