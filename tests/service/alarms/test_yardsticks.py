"""The yardsticks, on alarms whose counts can be told by hand."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import pytest

from service.alarms.alarm import Alarm, AlarmState
from service.alarms.journal import Happened, JournalLine
from service.alarms.yardsticks import Yardsticks, find_floods, yardsticks
from service.rules.limit import Priority

NOW = datetime(2026, 3, 31, 12, tzinfo=UTC)
MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)


def alarm(
    at: datetime,
    *,
    rule: str = "cold",
    lasts: timedelta | None = MINUTE,
    told: bool = True,
    priority: Priority = Priority.HIGH,
) -> Alarm:
    """Lasts for ever where ``lasts`` is None."""
    return Alarm(
        id=f"{rule}-{at}",
        rule=rule,
        place="shed",
        priority=priority,
        state=AlarmState.UNACKNOWLEDGED if lasts is None else AlarmState.NORMAL,
        raised_at=at,
        value=4.0,
        setpoint=5.0,
        text="",
        cleared_at=None if lasts is None else at + lasts,
        told_at=at if told else None,
    )


def of(alarms: Sequence[Alarm], lines: Sequence[JournalLine] = ()) -> Yardsticks:
    return yardsticks(alarms, lines, NOW, zone=UTC)


def every(span: timedelta, count: int, start: datetime = NOW - DAY) -> list[datetime]:
    return [start + number * span for number in range(count)]


# ISA-18.2, clause 16.4: a flood begins above 10 alarms in 10 minutes ("exceeds 10", so that
# exactly 10 is none) and ends below 5 in 10 minutes.
def test_eleven_within_ten_minutes_are_a_flood_and_ten_are_none() -> None:
    assert len(find_floods(every(50 * timedelta(seconds=1), 11))) == 1
    assert find_floods(every(50 * timedelta(seconds=1), 10)) == ()


def test_a_flood_goes_on_at_five_in_ten_minutes_and_is_over_at_four() -> None:
    burst = every(timedelta(seconds=50), 11)
    goes_on = [burst[-1] + number * 2 * MINUTE for number in range(1, 20)]  # five in any ten
    (flood,) = find_floods([*burst, *goes_on])
    assert flood.alarms == 30
    ebbs = [burst[-1] + 10 * MINUTE + number * 3 * MINUTE for number in range(5)]
    (flood,) = find_floods([*burst, *ebbs])
    assert (flood.until, flood.alarms) == (burst[-1], 11)


def test_thirty_alarms_in_thirty_days_are_one_a_day() -> None:
    told = of([alarm(at) for at in every(DAY, 30, NOW - 30 * DAY)])
    assert told.a_day == pytest.approx(1.0)
    assert (told.busiest, told.floods, told.flooded) == (1, (), 0.0)


def test_a_shed_that_is_a_week_old_is_weighed_by_its_week() -> None:
    told = of([alarm(NOW - 7 * DAY), alarm(NOW - DAY)])
    assert (told.days, told.told) == (7.0, 2)


def test_what_nobody_was_told_counts_as_hidden_alone() -> None:
    told = of([alarm(NOW - DAY), alarm(NOW - HOUR, rule="overdue:th-1", told=False)])
    assert (told.told, told.hidden, told.most) == (1, 1, (("cold", 1),))


def test_three_cycles_within_a_minute_chatter_and_slower_ones_do_not() -> None:
    quick = [alarm(at, lasts=timedelta(seconds=5)) for at in every(timedelta(seconds=20), 3)]
    slow = [alarm(at, rule="damp", lasts=MINUTE) for at in every(5 * MINUTE, 30)]
    assert of([*quick, *slow]).chattering == (("cold", 1),)


def test_an_alarm_is_stale_when_active_for_more_than_a_day() -> None:
    stale = alarm(NOW - 25 * HOUR, rule="damp", lasts=None)
    fresh = alarm(NOW - 23 * HOUR, lasts=None)
    over = alarm(NOW - 10 * DAY, rule="hot", lasts=2 * DAY)
    assert {one.rule for one in of([stale, fresh, over]).stale} == {"damp", "hot"}


def test_night_is_that_of_the_shed() -> None:
    told = of([alarm(NOW.replace(hour=hour) - DAY) for hour in (6, 8, 21, 23)])
    assert (told.told, told.at_night) == (4, 2)


def test_a_shelf_without_a_reason_is_counted() -> None:
    shelved = JournalLine(at=NOW - HOUR, rule="cold", happened=Happened.SHELVED, note="vents open")
    bare = JournalLine(at=NOW - HOUR, rule="cold", happened=Happened.OUT_OF_SERVICE)
    old = JournalLine(at=NOW - 40 * DAY, rule="cold", happened=Happened.SHELVED, note="x")
    told = of([], [shelved, bare, old])
    assert (told.shelved, told.out_of_service, told.without_reason) == (1, 1, 1)


def test_without_an_alarm_all_is_zero() -> None:
    told = of([])
    assert (told.a_day, told.busiest, told.most, told.stale) == (0.0, 0, (), ())
