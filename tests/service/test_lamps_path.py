"""Lamps that did not come on, went out, or burn at night, and days that became shorter."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from devices.message import Message
from service.alarms.alarm import AlarmState
from service.rules.limit import Priority
from tests.service.reading_rules_shed import (
    CONFIGURATION,
    MINUTE,
    every_minute,
    local,
    rules_told,
    told,
)
from tests.service.shed_in_a_folder import Shed


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    one = Shed(tmp_path / "data", CONFIGURATION)
    one.path.restore(local(0))
    yield one
    one.stores.close()


def lux(value: float, since: tuple[int, int], minutes: int, day: int = 3) -> Iterator[Message]:
    return every_minute(local(*since, day=day), minutes, illuminance=value)


def test_lamps_that_did_not_come_on_are_told_twenty_minutes_after_they_should_be_full(
    shed: Shed,
) -> None:
    shed.walk(*lux(0.0, (5, 0), 160))
    (alarm,) = shed.alarms("dark-by-day:shed")
    assert alarm.raised_at == local(7, 20)
    assert alarm.priority is Priority.MEDIUM
    assert alarm.text == (
        "Hazel is dark: the lamps did not come on at 06:30. Look at the lamps, their fuse and "
        "their timer."
    )


def test_lamps_that_went_out_are_told_with_when_and_until_when_they_should_burn(
    shed: Shed,
) -> None:
    fading = [
        told(local(17) + n * MINUTE, illuminance=max(3.0, 400.0 - 20.0 * n)) for n in range(60)
    ]
    shed.walk(*lux(400.0, (16, 0), 60), *fading)
    (alarm,) = shed.alarms("dark-by-day:shed")
    assert alarm.raised_at == local(17, 40)
    assert "dark since 17:20: the lamps are meant to burn until 20:30" in alarm.text
    assert alarm.priority is Priority.HIGH


def test_a_start_makes_lamps_that_never_came_on_no_more_urgent(shed: Shed) -> None:
    shed.walk(*lux(0.0, (6, 0), 120))
    shed.restart(local(8, 1))
    shed.walk(*lux(0.0, (8, 1), 5))
    (alarm,) = shed.alarms("dark-by-day:shed")
    assert (alarm.priority, alarm.re_alarm_after) == (Priority.MEDIUM, None)


def test_lamps_that_are_a_quarter_of_an_hour_late_say_nothing(shed: Shed) -> None:
    shed.walk(*lux(0.0, (6, 0), 75), *lux(400.0, (7, 15), 60))
    assert rules_told(shed) == []


def test_dark_lamps_are_no_better_for_the_evening_in_which_nobody_can_tell(shed: Shed) -> None:
    shed.walk(*lux(0.0, (18, 0), 300))
    (alarm,) = shed.alarms("dark-by-day:shed")
    assert alarm.state is AlarmState.UNACKNOWLEDGED


def test_lamps_that_burn_again_end_it_even_while_they_brighten(shed: Shed) -> None:
    shed.walk(*lux(0.0, (18, 0), 300), *lux(60.0, (6, 32), 20, day=4))
    (alarm,) = shed.alarms("dark-by-day:shed")
    assert alarm.cleared_at == local(6, 42, day=4)


def test_a_light_sensor_that_falls_silent_in_the_dark_keeps_the_alarm_up(shed: Shed) -> None:
    shed.walk(*lux(0.0, (18, 0), 40))
    shed.tick(local(18, day=5))
    (alarm,) = shed.alarms("dark-by-day:shed")
    assert alarm.state is AlarmState.UNACKNOWLEDGED


def test_light_at_midnight_is_told_after_three_quarters_of_an_hour(shed: Shed) -> None:
    shed.walk(*lux(0.0, (22, 0), 90), *lux(450.0, (23, 30), 60))
    (alarm,) = shed.alarms("light-by-night:shed")
    assert alarm.raised_at == local(0, 15, day=4)
    assert alarm.text.startswith("Hazel is light, 450 lx, since 23:30, when it is meant to be dark")


def test_old_light_that_comes_again_says_nothing_and_stops_nothing(shed: Shed) -> None:
    evening = list(lux(500.0, (17, 0), 240))
    shed.walk(*evening)
    assert shed.walk(*evening) == 0
    assert not shed.alarms("light-by-night:shed")
    assert not shed.alarms("dark-by-day:shed")


def test_a_visit_at_night_says_nothing(shed: Shed) -> None:
    shed.walk(*lux(0.0, (22, 0), 60), *lux(450.0, (23, 0), 40), *lux(0.0, (23, 40), 60))
    assert rules_told(shed) == []


def test_lamps_that_did_not_go_off_are_told_and_over_with_the_morning(shed: Shed) -> None:
    shed.walk(*lux(450.0, (20, 0), 12 * 60))
    (alarm,) = shed.alarms("light-by-night:shed")
    # From a quarter of an hour after they should be dark.
    assert alarm.raised_at == local(21, 30)
    assert alarm.cleared_at == local(6, 20, day=4)


def test_lamps_an_hour_out_for_summer_time_say_so_in_the_morning(shed: Shed) -> None:
    shed.walk(*lux(0.0, (5, 0), 150), *lux(450.0, (7, 30), 30))
    assert rules_told(shed) == ["dark-by-day:shed"]


def test_without_lamps_told_of_nothing_is_dark_or_light_out_of_time(tmp_path: Path) -> None:
    start = CONFIGURATION.index('on = "06:30"')
    without = CONFIGURATION[:start] + CONFIGURATION[CONFIGURATION.index("threshold_lx") :]
    shed = Shed(tmp_path / "plain", without)
    shed.path.restore(local(0))
    shed.walk(*lux(0.0, (9, 0), 120), *lux(450.0, (22, 0), 120))
    assert rules_told(shed) == []
    shed.stores.close()


def long_days(shed: Shed, last_off: int) -> None:
    """Three days of 14 hours of light, and one that ends at another hour; every five minutes."""
    messages = []
    for n in range(4 * 288 + 90):
        at = local(0) + 5 * n * MINUTE
        day, of_day = divmod(5 * n, 24 * 60)
        off = (last_off if day == 3 else 20) * 60 + 30
        messages.append(told(at, illuminance=400.0 if 390 <= of_day < off else 0.0))
    shed.walk(*messages)


NO_PLAN = CONFIGURATION.replace('interval = "60 s"', 'interval = "300 s"').replace(
    'on = "06:30"\noff = "20:30"\ndim = "30 min"\n', ""
)


def test_a_day_shorter_by_two_hours_is_told_in_the_morning_after_it(tmp_path: Path) -> None:
    shed = Shed(tmp_path / "plain", NO_PLAN)
    shed.path.restore(local(0))
    long_days(shed, last_off=18)
    (alarm,) = shed.alarms("day-shortened:shed")
    assert alarm.raised_at == local(7, day=7)
    assert alarm.text.startswith(
        "Hazel had 12.0 hours of light on Fri 6 Feb, after 14.0 on the days before."
    )
    shed.stores.close()


def test_days_of_one_length_say_nothing(tmp_path: Path) -> None:
    shed = Shed(tmp_path / "plain", NO_PLAN)
    shed.path.restore(local(0))
    long_days(shed, last_off=20)
    assert rules_told(shed) == []
    shed.stores.close()


def test_lamps_of_which_was_told_that_they_went_out_are_not_told_again_as_a_short_day(
    tmp_path: Path,
) -> None:
    five = CONFIGURATION.replace('interval = "60 s"', 'interval = "300 s"')
    shed = Shed(tmp_path / "planned", five)
    shed.path.restore(local(0))
    long_days(shed, last_off=17)
    assert "day-shortened:shed" not in rules_told(shed)
    assert "dark-by-day:shed" in rules_told(shed)
    shed.stores.close()
