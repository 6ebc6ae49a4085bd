"""A sensor that goes into the salt jar and comes back, through the whole walk of a reading."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from devices.reading import Quantity
from service.alarms.alarm import AlarmState
from service.quality.correction import Correction
from service.settings.away import JAR
from service.settings.load import read_file
from service.store.calibration_store import Calibration, SaltTrial
from service.wiring import reading_path, settings_now
from tests.service.shed_in_a_folder import EVENING, MINUTE, Shed, minutes, said, shed_in


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[Shed]:
    with shed_in(tmp_path / "data") as opened:
        yield opened


def taken_up(shed: Shed, now: datetime) -> None:
    """As a running watch takes up what was changed on a page."""
    settings = settings_now(read_file(None, shed.data), shed.data, shed.stores.records)
    shed.path = reading_path(settings, shed.stores)
    shed.path.restore(now, forgiving=False)
    shed.path.save_alarms()


def into_the_jar(shed: Shed, at: datetime) -> SaltTrial:
    store = shed.stores.records.calibrations
    trial = store.start_trial("th-shed", "sodium chloride", by="Ida", at=at)
    taken_up(shed, at)
    return trial


def out_of_the_jar(shed: Shed, trial: SaltTrial, at: datetime) -> None:
    shed.stores.records.calibrations.end_trial(replace(trial, ended_at=at))
    taken_up(shed, at)


def told_at(shed: Shed, place: str) -> list[float]:
    readings = shed.stores.readings
    return [
        reading.value
        for series in readings.series()
        if series.place == place
        for reading in readings.window(series.id, EVENING - timedelta(1), EVENING + timedelta(2))
    ]


def test_what_it_tells_in_the_jar_is_nothing_of_the_shed(shed: Shed) -> None:
    shed.walk(said(18.0, EVENING))
    into_the_jar(shed, EVENING + MINUTE)
    shed.walk(said(22.0, EVENING + 2 * MINUTE))
    assert (told_at(shed, "shed"), told_at(shed, JAR.id)) == ([18.0], [22.0])


def test_in_the_jar_it_raises_no_alarm_of_the_shed(shed: Shed) -> None:
    into_the_jar(shed, EVENING)
    shed.walk(*minutes(2.0, 1, 30))
    assert not shed.alarms("cold-night")


def test_in_the_jar_it_must_be_heard_as_ever(shed: Shed) -> None:
    shed.walk(said(18.0, EVENING))
    into_the_jar(shed, EVENING + MINUTE)
    shed.tick(EVENING + 10 * MINUTE)
    (silent,) = shed.alarms("overdue:th-shed")
    assert silent.state is AlarmState.UNACKNOWLEDGED
    assert silent.place == JAR.id


def test_an_alarm_that_waits_is_kept_while_its_only_sensor_is_away(shed: Shed) -> None:
    shed.walk(*minutes(2.0, 0, 15))
    into_the_jar(shed, EVENING + 15 * MINUTE)
    shed.walk(*minutes(22.0, 16, 60))
    shed.tick(EVENING + 60 * MINUTE)
    (alarm,) = shed.alarms("cold-night")
    assert alarm.state is AlarmState.UNACKNOWLEDGED


def test_back_in_the_shed_it_ends_the_alarm_that_was_kept(shed: Shed) -> None:
    shed.walk(*minutes(2.0, 0, 15))
    trial = into_the_jar(shed, EVENING + 15 * MINUTE)
    out_of_the_jar(shed, trial, EVENING + 60 * MINUTE)
    shed.walk(*minutes(18.0, 61, 90))
    (alarm,) = shed.alarms("cold-night")
    assert alarm.state is AlarmState.RETURNED_UNACKNOWLEDGED


def test_a_reading_of_before_that_arrives_during_the_trial_is_the_sheds(shed: Shed) -> None:
    into_the_jar(shed, EVENING + 5 * MINUTE)
    shed.walk(said(18.0, EVENING, received_at=EVENING + 6 * MINUTE))
    assert (told_at(shed, "shed"), told_at(shed, JAR.id)) == ([18.0], [])


def test_the_cold_of_before_that_arrives_during_the_trial_is_told(shed: Shed) -> None:
    into_the_jar(shed, EVENING + 15 * MINUTE)
    late = EVENING + 16 * MINUTE
    shed.walk(*(replace(one, received_at=late) for one in minutes(2.0, 0, 15)))
    (alarm,) = shed.alarms("cold-night")
    assert alarm.state is AlarmState.UNACKNOWLEDGED


def test_a_reading_of_the_jar_that_arrives_after_the_trial_is_the_jars(shed: Shed) -> None:
    trial = into_the_jar(shed, EVENING)
    out_of_the_jar(shed, trial, EVENING + 60 * MINUTE)
    late = EVENING + 61 * MINUTE
    shed.walk(*(replace(one, received_at=late) for one in minutes(2.0, 1, 59)))
    assert told_at(shed, "shed") == []
    assert not shed.alarms("cold-night")


def test_a_calibration_corrects_from_its_instant_on_and_keeps_the_raw_value(shed: Shed) -> None:
    shed.walk(said(18.0, EVENING))
    since = EVENING + MINUTE
    shed.stores.records.calibrations.add(
        Calibration(
            id=0,
            correction=Correction(
                device="th-shed", quantity=Quantity.TEMPERATURE, since=since, slope=1.0, offset=-0.5
            ),
            method="offset",
            reference="a thermometer",
            before=18.0,
            after=17.5,
            by="Ida",
            made_at=since,
        )
    )
    taken_up(shed, since)
    shed.walk(
        said(18.0, EVENING + 30 * timedelta(seconds=1), received_at=EVENING + 2 * MINUTE),
        said(18.0, EVENING + 2 * MINUTE),
    )
    (series,) = shed.stores.readings.series()
    window = shed.stores.readings.window(series.id, EVENING, EVENING + timedelta(hours=1))
    assert [(one.value, one.raw) for one in window] == [(18.0, None), (18.0, None), (17.5, 18.0)]


def test_what_takes_its_place_does_not_inherit_its_calibration(shed: Shed) -> None:
    shed.stores.records.calibrations.add(
        Calibration(
            id=0,
            correction=Correction(
                device="th-old", quantity=Quantity.TEMPERATURE, since=EVENING, slope=1.0, offset=3.0
            ),
            method="offset",
            reference="a thermometer",
            before=18.0,
            after=21.0,
            by=None,
            made_at=EVENING,
        )
    )
    taken_up(shed, EVENING)
    shed.walk(said(18.0, EVENING + MINUTE))
    assert told_at(shed, "shed") == [18.0]
