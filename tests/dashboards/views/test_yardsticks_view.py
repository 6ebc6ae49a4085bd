"""What the yardsticks say, in sentences."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from dashboards.views.yardsticks_view import yardstick_lines
from service.alarms.alarm import Alarm, AlarmState
from service.alarms.yardsticks import yardsticks
from service.rules.limit import Priority
from tests.dashboards.filled_shed import NOW, ZONE, settings
from tests.dashboards.views.walls import alarm

SET_UP = settings(Path("/nowhere"))


def came(rule: str, at: datetime, *, lasted: timedelta | None = timedelta(hours=1)) -> Alarm:
    told = replace(alarm(rule, priority=Priority.MEDIUM), raised_at=at, told_at=at)
    if lasted is None:
        return told
    return replace(told, state=AlarmState.NORMAL, cleared_at=at + lasted)


def said(alarms: Sequence[Alarm]) -> list[str]:
    found = yardsticks(alarms, (), NOW, zone=ZONE)
    return [line.words for line in yardstick_lines(found, SET_UP, NOW)]


def test_a_month_without_an_alarm_is_one_line() -> None:
    assert said([]) == ["In 30 days no alarm came."]


def test_the_same_rule_again_and_again_is_named() -> None:
    alarms = [came("damp", NOW - timedelta(days=day, hours=2)) for day in range(1, 5)]
    told = said([came("cold", NOW - timedelta(days=29)), *alarms])
    assert told[0] == "In 29 days: 5 alarms, 1 on the busiest day."
    assert told[1].startswith(
        "4 times it was the same one (Hazel shed: relative humidity over 80%)"
    )


def test_the_same_sensor_twice_is_named_and_has_no_limit_to_look_at() -> None:
    told = said([came("overdue:th-2", NOW - timedelta(days=day)) for day in (2, 9)])
    assert told[1] == (
        "Twice it was the same one (A sensor is silent: th-2): look at what is behind it."
    )


def test_more_than_one_a_day_is_too_many() -> None:
    alarms = [came("damp", NOW - timedelta(hours=6 * n)) for n in range(1, 9)]
    assert "More than one a day" in said(alarms)[0]


def test_what_is_true_for_days_is_to_be_put_right() -> None:
    told = said([came("cold", NOW - timedelta(days=3), lasted=None)])
    assert "Hazel shed: temperature under 5° has been true for more than a day" in told[1]


def test_a_night_alarm_is_counted() -> None:
    two_o_clock = NOW.replace(hour=0, minute=0)  # in the shed
    assert "1 of them between 22:00 and 7:00." in said([came("cold", two_o_clock)])


def test_what_came_and_went_within_a_minute_is_to_be_given_time() -> None:
    second = timedelta(seconds=1)
    alarms = [
        came("damp", NOW - timedelta(hours=1) + n * 15 * second, lasted=second) for n in range(3)
    ]
    assert any("three times within a minute" in line for line in said(alarms))


def test_many_at_once_may_have_one_cause() -> None:
    alarms = [came(f"overdue:th-{n}", NOW - timedelta(hours=3)) for n in range(12)]
    assert any(line.startswith("12 alarms came at once 11:30") for line in said(alarms))


def test_where_most_are_urgent_none_is() -> None:
    alarms = [
        replace(came(f"cold-{n}", NOW - timedelta(days=n)), priority=Priority.HIGH)
        for n in range(1, 8)
    ]
    assert "7 of 7 said act now. Where most are urgent, none is." in said(alarms)


def test_what_nobody_was_told_of_is_counted() -> None:
    hidden = replace(came("cold", NOW - timedelta(days=1)), told_at=None)
    assert "1 alarm came that nobody was told of." in said([hidden])
