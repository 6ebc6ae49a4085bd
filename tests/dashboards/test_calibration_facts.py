"""What the store tells of a sensor that is being calibrated."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from dashboards.calibration_facts import raw_value_of, raw_values, trial_now
from devices.reading import Quantity
from devices.sensor import Sensor
from service.quality.correction import Correction
from service.quality.salt_trial import Stage
from service.store.calibration_store import Calibration
from tests.dashboards.filled_shed import NOW
from tests.dashboards.kept_shed import KeptShed, open_kept_shed

RH = Quantity.RELATIVE_HUMIDITY
MINUTE = timedelta(minutes=1)
DOCUMENT: dict[str, object] = {
    "place": [{"id": "shed", "kind": "shed"}],
    "sensor": [{"device": "th-9", "place": "shed", "interval": "60 s"}],
}


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[KeptShed]:
    kept = open_kept_shed(tmp_path, DOCUMENT)
    yield kept
    kept.close()


def hear(shed: KeptShed, humidity: float, ago: float) -> None:
    payload = (
        '[{"bn":"th-9:","n":"temperature","u":"Cel","v":20},'
        f'{{"n":"relative_humidity","u":"%RH","v":{humidity}}},'
        '{"n":"battery","u":"%EL","v":80}]'
    )
    shed.hear("clutchweather/th-9/senml", payload, seconds_ago=ago)


def sensor(shed: KeptShed) -> Sensor:
    return shed.settings().sensors[0]


def correct(shed: KeptShed, offset: float, minutes_ago: float) -> None:
    since = NOW - minutes_ago * MINUTE
    correction = Correction(device="th-9", quantity=RH, since=since, slope=1.0, offset=offset)
    shed.stores.records.calibrations.add(
        Calibration(
            id=0,
            correction=correction,
            method="offset",
            reference="a reference beside it",
            before=0.0,
            after=offset,
            by=None,
            made_at=since,
        )
    )


def test_what_can_be_calibrated_is_told_without_its_correction(shed: KeptShed) -> None:
    correct(shed, -2.5, minutes_ago=5)
    hear(shed, 61.0, ago=12)
    told = raw_values(shed.stores.readings, sensor(shed), NOW)
    assert [(one.quantity, one.raw, one.value) for one in told] == [
        (Quantity.TEMPERATURE, 20.0, 20.0),
        (RH, 61.0, 58.5),
    ]
    assert all(one.fresh and one.believed for one in told)


def test_a_value_that_can_not_be_is_not_believed(shed: KeptShed) -> None:
    hear(shed, 120.0, ago=12)
    told = {
        one.quantity: one.believed for one in raw_values(shed.stores.readings, sensor(shed), NOW)
    }
    assert told == {Quantity.TEMPERATURE: True, RH: False}


def test_an_earlier_value_is_found_by_its_instant(shed: KeptShed) -> None:
    hear(shed, 61.0, ago=72)
    hear(shed, 64.0, ago=12)
    store, at = shed.stores.readings, NOW - timedelta(seconds=72)
    found = raw_value_of(store, sensor(shed), RH, at, NOW)
    assert found is not None
    assert (found.raw, found.measured_at) == (61.0, at)
    assert raw_value_of(store, sensor(shed), RH, at + timedelta(seconds=1), NOW) is None


def test_a_trial_is_told_by_raw_values_whatever_was_corrected_before(shed: KeptShed) -> None:
    correct(shed, -2.5, minutes_ago=20 * 60)
    begun = NOW - timedelta(hours=13)
    trial = shed.stores.records.calibrations.start_trial(
        "th-9", "sodium chloride", by=None, at=begun
    )
    for minutes in range(70, -1, -1):
        hear(shed, 77.0, ago=60 * minutes)
    told = trial_now(shed.stores.readings, sensor(shed), trial, NOW, None)
    assert told.now.stage is Stage.READY
    assert told.ready_at == NOW
    assert told.now.measured_pct == pytest.approx(77.0)


def test_a_trial_that_was_ready_three_hours_ago_is_not_ready_any_more(shed: KeptShed) -> None:
    begun = NOW - timedelta(hours=20)
    trial = shed.stores.records.calibrations.start_trial(
        "th-9", "sodium chloride", by=None, at=begun
    )
    for minutes in range(250, 180, -1):
        hear(shed, 77.0, ago=60 * minutes)
    told = trial_now(shed.stores.readings, sensor(shed), trial, NOW, None)
    assert told.now.stage is Stage.CANNOT_TELL
    assert told.ready is None
