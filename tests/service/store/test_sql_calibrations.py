"""Calibrations and salt trials in a real file."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from devices.reading import Quantity
from service.errors import InputError, NotKnownError
from service.quality.correction import Correction
from service.store.calibration_store import Calibration
from service.store.kept_settings import Change
from service.store.sql_records import Records, open_records

NOW = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)
LATER = NOW + timedelta(hours=14)
OFFSET = Calibration(
    id=0,
    correction=Correction(
        device="th-shed",
        quantity=Quantity.RELATIVE_HUMIDITY,
        since=LATER,
        slope=1.0,
        offset=-2.25,
    ),
    method="salt",
    reference="sodium chloride at 20 °C",
    before=77.7,
    after=75.5,
    by="Mara",
    made_at=LATER,
)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    yield opened
    opened.close()


def test_a_calibration_is_found_as_it_was_added(records: Records) -> None:
    added = records.calibrations.add(OFFSET)
    assert added == replace(OFFSET, id=added.id)
    assert records.calibrations.calibrations() == [added]


def test_whatever_is_done_brings_a_revision_never_seen_before(records: Records) -> None:
    store = records.calibrations
    seen = [store.revision()]
    trial = store.start_trial("th-shed", "sodium chloride", by=None, at=NOW)
    seen.append(store.revision())
    store.end_trial(replace(trial, ended_at=LATER))
    seen.append(store.revision())
    store.add(OFFSET)
    seen.append(store.revision())
    assert seen == sorted(set(seen))


def test_a_device_is_in_one_jar_at_a_time(records: Records) -> None:
    store = records.calibrations
    trial = store.start_trial("th-shed", "sodium chloride", by="Mara", at=NOW)
    with pytest.raises(InputError, match="th-shed is in a jar already"):
        store.start_trial("th-shed", "magnesium chloride", by="Mara", at=NOW)
    store.start_trial("th-2", "sodium chloride", by=None, at=NOW)
    store.end_trial(replace(trial, ended_at=LATER))
    again = store.start_trial("th-shed", "magnesium chloride", by=None, at=LATER)
    assert [one.ended_at is None for one in store.trials()] == [False, True, True]
    assert again.id != trial.id


def test_a_trial_and_its_calibration_are_written_together(records: Records) -> None:
    store = records.calibrations
    trial = store.start_trial("th-shed", "sodium chloride", by="Mara", at=NOW)
    done = replace(trial, ended_at=LATER, measured_pct=77.7, target_pct=75.5, temperature_c=20.0)
    change = Change(at=LATER, by="Mara", what="th-shed calibrated")
    store.end_trial(done, calibration=OFFSET, change=change)
    assert store.trials() == [done]
    assert [one.correction for one in store.calibrations()] == [OFFSET.correction]
    assert records.changes.changes() == [change]


def test_a_trial_that_has_ended_is_not_ended_again(records: Records) -> None:
    store = records.calibrations
    trial = store.start_trial("th-shed", "sodium chloride", by=None, at=NOW)
    given_up = replace(trial, ended_at=LATER)
    store.end_trial(given_up)
    again = replace(given_up, ended_at=LATER + timedelta(hours=1))
    with pytest.raises(NotKnownError):
        store.end_trial(again, calibration=OFFSET, change=Change(at=LATER, by=None, what="x"))
    assert store.trials() == [given_up]
    assert store.calibrations() == []
    assert records.changes.changes() == []


def test_a_trial_without_an_end_can_not_be_ended(records: Records) -> None:
    trial = records.calibrations.start_trial("th-shed", "sodium chloride", by=None, at=NOW)
    with pytest.raises(InputError):
        records.calibrations.end_trial(trial)
