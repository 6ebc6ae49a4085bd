"""Alarms on a real SQLite file."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service.alarms.alarm import Alarm, AlarmState
from service.alarms.journal import Happened, JournalLine
from service.alarms.suppression import Suppression, SuppressionKind
from service.rules.limit import Priority
from service.store.alarm_store import AlarmStore
from service.store.sql_records import open_records

NIGHT = datetime(2026, 3, 10, 23, 50, 0, 250_000, tzinfo=UTC)
COLD = Alarm(
    id="a1",
    rule="cold-night",
    place="shed",
    priority=Priority.HIGH,
    state=AlarmState.UNACKNOWLEDGED,
    raised_at=NIGHT,
    value=4.25,
    setpoint=5.0,
    text="4.2 °C in the shed, limit 5.0 °C",
)
DAMP = replace(COLD, id="a2", rule="damp", raised_at=NIGHT + timedelta(minutes=1))


@pytest.fixture
def alarms(tmp_path: Path) -> Iterator[AlarmStore]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield records.alarms
    records.close()


def test_alarm_comes_back_as_it_was_put(alarms: AlarmStore) -> None:
    told = replace(
        COLD,
        state=AlarmState.ACKNOWLEDGED,
        cleared_at=NIGHT,
        acknowledged_at=NIGHT,
        acknowledged_by="Ida",
        kind="temperature low",
        because_of="power-cut:shed",
        latching=True,
        re_alarm_after=timedelta(hours=6),
        suppressed=SuppressionKind.SHELVED,
        suppressed_until=NIGHT,
        suppressed_why="cleaning out",
        told_at=NIGHT,
    )
    alarms.put([told])
    assert list(alarms.open_alarms()) == [told]


def test_alarm_is_replaced_by_id(alarms: AlarmStore) -> None:
    alarms.put([COLD, DAMP])
    alarms.put([replace(COLD, state=AlarmState.RETURNED_UNACKNOWLEDGED, cleared_at=NIGHT)])
    states = {alarm.id: alarm.state for alarm in alarms.open_alarms()}
    assert states == {
        "a1": AlarmState.RETURNED_UNACKNOWLEDGED,
        "a2": AlarmState.UNACKNOWLEDGED,
    }


def test_cleared_at_can_be_taken_back(alarms: AlarmStore) -> None:
    alarms.put([replace(COLD, cleared_at=NIGHT)])
    alarms.put([COLD])
    assert list(alarms.open_alarms()) == [COLD]


def test_open_alarms_leave_out_the_normal_and_come_oldest_first(alarms: AlarmStore) -> None:
    alarms.put([DAMP, COLD, replace(COLD, id="a3", state=AlarmState.NORMAL)])
    assert [alarm.id for alarm in alarms.open_alarms()] == ["a1", "a2"]


def test_alarms_come_newest_first_and_all_without_bounds(alarms: AlarmStore) -> None:
    alarms.put([COLD, DAMP])
    assert [alarm.id for alarm in alarms.alarms(None, None)] == ["a2", "a1"]


def test_bounds_take_the_first_instant_and_leave_out_the_last(alarms: AlarmStore) -> None:
    alarms.put([COLD, DAMP])
    found = alarms.alarms(COLD.raised_at, DAMP.raised_at)
    assert [alarm.id for alarm in found] == ["a1"]


def test_put_is_all_or_nothing(alarms: AlarmStore) -> None:
    with pytest.raises(Exception, match="NOT NULL"):
        alarms.put([COLD, replace(DAMP, value=float("nan"))])
    assert list(alarms.open_alarms()) == []


SHELF = Suppression(
    rule="damp",
    kind=SuppressionKind.SHELVED,
    since=NIGHT,
    until=NIGHT + timedelta(hours=1),
    reason="cleaning out",
    by="Ida",
    one_shot=True,
)


def test_a_suppression_comes_back_is_replaced_by_rule_and_lifted(alarms: AlarmStore) -> None:
    alarms.put([], suppressions=[SHELF])
    assert list(alarms.suppressions()) == [SHELF]
    longer = replace(SHELF, until=NIGHT + timedelta(hours=2))
    alarms.put([], suppressions=[longer])
    assert list(alarms.suppressions()) == [longer]
    alarms.put([], lifted=["damp"])
    assert list(alarms.suppressions()) == []


def test_the_journal_comes_newest_first_within_its_bounds(alarms: AlarmStore) -> None:
    lines = [
        JournalLine(at=NIGHT + timedelta(hours=number), rule="damp", happened=Happened.RAISED)
        for number in range(3)
    ]
    alarms.put([COLD], lines=lines)
    found = alarms.journal(NIGHT, NIGHT + timedelta(hours=2))
    assert list(found) == [lines[1], lines[0]]
