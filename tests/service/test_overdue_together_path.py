"""Many sensors silent at once: one alarm that lists them, each one's own behind it."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from devices.sensor import Sensor
from service.alarm_path import AlarmPath
from service.alarms.alarm import Alarm, AlarmState
from service.alarms.suppression import SuppressionKind
from service.overdue_path import OverduePath
from service.rules.limit import Priority
from service.store.alarm_store import AlarmStore
from service.store.reading_store import Heard
from service.store.sql_records import open_records

NIGHT = datetime(2026, 3, 1, 21, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
SENSORS = [
    Sensor(
        device=f"th-{number}",
        place=f"box-{number}",
        interval=MINUTE,
        overdue_after=3 * MINUTE,
    )
    for number in range(1, 41)
]
AROUND: dict[str, str | None] = {one.place: "shed" for one in SENSORS} | {"shed": None}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[AlarmStore]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield records.alarms
    records.close()


class Shed:
    """Forty sensors, all heard within the minute before nine."""

    def __init__(self, store: AlarmStore, sensors: list[Sensor] = SENSORS) -> None:
        self.alarms = AlarmPath(store, around=AROUND)
        self.overdue = OverduePath(sensors, {}, UTC, self.alarms, AROUND, homes=["shed"])
        self.sensors = sensors
        self.overdue.restore(
            [
                Heard(device=one.device, at=at, deadline=at + one.overdue_after)
                for number, one in enumerate(sensors)
                for at in [NIGHT - number * timedelta(seconds=1.4)]
            ],
            NIGHT,
            forgiving=False,
        )

    def until(self, at: datetime) -> None:
        while (due := self.overdue.next_deadline()) is not None and due <= at:
            self.overdue.tick(due)

    def heard(self, sensors: list[Sensor], at: datetime) -> None:
        for one in sensors:
            self.overdue.sign_of_life(one.device, at)

    @property
    def told(self) -> list[Alarm]:
        return [one for one in self.alarms.open_alarms() if one.told]


def test_forty_silent_sensors_are_one_alarm_that_lists_them(store: AlarmStore) -> None:
    shed = Shed(store)
    told_of: set[str] = set()
    for second in range(5 * 60):
        shed.until(NIGHT + timedelta(seconds=second))
        told_of |= {one.rule for one in shed.told}
    assert told_of == {"overdue-together:shed"}
    (told,) = shed.told
    assert all(f"{one.device} (" in told.text for one in SENSORS)
    hidden = [one for one in shed.alarms.open_alarms() if one.rule.startswith("overdue:")]
    assert len(hidden) == 40
    assert {one.suppressed for one in hidden} == {SuppressionKind.BY_DESIGN}
    assert {one.state for one in hidden} == {AlarmState.UNACKNOWLEDGED}


def test_it_is_over_with_the_last_of_them_and_lists_who_is_silent_still(store: AlarmStore) -> None:
    shed = Shed(store)
    shed.until(NIGHT + 5 * MINUTE)
    shed.heard(SENSORS[1:], NIGHT + 6 * MINUTE)
    (told,) = shed.told
    assert "one sensor is silent" in told.text
    assert "th-2 " not in told.text
    shed.heard(SENSORS[:1], NIGHT + 7 * MINUTE)
    (told,) = shed.told
    assert told.state is AlarmState.RETURNED_UNACKNOWLEDGED
    assert len(shed.alarms.open_alarms()) == 1


def test_two_silent_sensors_speak_each_for_itself(store: AlarmStore) -> None:
    shed = Shed(store, SENSORS[:2])
    shed.until(NIGHT + 5 * MINUTE)
    assert {one.rule for one in shed.told} == {"overdue:th-1", "overdue:th-2"}


def test_an_unheard_broker_is_told_in_place_of_its_sensors(store: AlarmStore) -> None:
    shed = Shed(store, SENSORS[:2])
    shed.overdue.hears(deaf=True, now=NIGHT)
    shed.until(NIGHT + 5 * MINUTE)
    (told,) = shed.told
    assert told.rule == "broker:shed"
    assert "th-1 (box-1), th-2 (box-2)" in told.text


def test_a_sensor_that_stays_silent_when_the_broker_is_back_speaks_after_its_time(
    store: AlarmStore,
) -> None:
    shed = Shed(store, SENSORS[:2])
    shed.overdue.hears(deaf=True, now=NIGHT)
    shed.until(NIGHT + 5 * MINUTE)
    back = NIGHT + 10 * MINUTE
    shed.overdue.hears(deaf=False, now=back)
    shed.heard(SENSORS[:1], back + MINUTE)
    shed.until(back + 2 * MINUTE)
    assert [one.rule for one in shed.told] == ["broker:shed"]
    shed.until(back + 3 * MINUTE)
    speaks = [one.rule for one in shed.told if one.state.active]
    assert speaks == ["overdue:th-2"]


def test_after_a_restart_they_are_hidden_still(store: AlarmStore) -> None:
    shed = Shed(store)
    shed.until(NIGHT + 5 * MINUTE)
    shed.alarms.save()
    again = AlarmPath(store, around=AROUND)
    overdue = OverduePath(SENSORS, {}, UTC, again, AROUND)
    stored = [Heard(device=one.device, at=NIGHT, deadline=NIGHT + 3 * MINUTE) for one in SENSORS]
    with again.at_once(NIGHT + 6 * MINUTE):
        overdue.restore(stored, NIGHT + 6 * MINUTE, forgiving=True)
    assert [one.rule for one in again.open_alarms() if one.told] == ["overdue-together:shed"]
    for one in SENSORS:
        overdue.sign_of_life(one.device, NIGHT + 7 * MINUTE)
    (told,) = again.open_alarms()
    assert told.state is AlarmState.RETURNED_UNACKNOWLEDGED


def test_a_shed_of_which_nothing_is_heard_is_urgent_after_twenty_minutes(
    store: AlarmStore,
) -> None:
    shed = Shed(store, SENSORS[:5])
    shed.until(NIGHT + 22 * MINUTE)
    (told,) = shed.told
    shed.alarms.acknowledge(told.id, by="Ada", at=NIGHT + 22 * MINUTE)
    assert told.priority is Priority.MEDIUM
    shed.until(NIGHT + 23 * MINUTE)
    (told,) = shed.told
    assert (told.priority, told.state) == (Priority.HIGH, AlarmState.UNACKNOWLEDGED)
    assert told.text.startswith("Nobody watches shed: nothing of it was heard for 20 minutes")
    assert shed.overdue.next_deadline() is None


def test_a_shed_with_one_sensor_that_is_heard_is_watched(store: AlarmStore) -> None:
    shed = Shed(store, SENSORS[:5])
    for minute in range(40):
        shed.until(NIGHT + minute * MINUTE)
        shed.heard(SENSORS[:1], NIGHT + minute * MINUTE)
    assert {one.priority for one in shed.told} == {Priority.MEDIUM}


def test_the_only_sensor_of_a_shed_is_urgent_too_when_it_stays_silent(store: AlarmStore) -> None:
    shed = Shed(store, SENSORS[:1])
    shed.until(NIGHT + 23 * MINUTE)
    (told,) = shed.told
    assert (told.rule, told.priority) == ("overdue:th-1", Priority.HIGH)
    shed.heard(SENSORS[:1], NIGHT + 30 * MINUTE)
    assert not shed.alarms.is_active("overdue:th-1")


def test_a_start_anew_tells_it_at_the_same_time_and_once(store: AlarmStore) -> None:
    shed = Shed(store, SENSORS[:5])
    shed.until(NIGHT + 23 * MINUTE)
    (told,) = shed.told
    shed.alarms.acknowledge(told.id, by="Ada", at=NIGHT + 23 * MINUTE)
    shed.alarms.save()
    again = Shed(store, SENSORS[:5])
    again.until(NIGHT + 60 * MINUTE)
    (told,) = again.told
    assert (told.priority, told.acknowledged_by) == (Priority.HIGH, "Ada")


def test_of_two_that_fell_silent_by_themselves_one_tells_that_nobody_watches(
    store: AlarmStore,
) -> None:
    shed = Shed(store, SENSORS[:2])
    shed.heard(SENSORS[:1], NIGHT + 2 * MINUTE)
    shed.until(NIGHT + 60 * MINUTE)
    assert {one.rule: one.priority for one in shed.told} == {
        "overdue:th-1": Priority.HIGH,
        "overdue:th-2": Priority.MEDIUM,
    }
