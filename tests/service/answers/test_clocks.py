"""The clocks of mites and mould, from a real store."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.answers.air_by_hours import whole_hour
from service.answers.clocks import LONGEST, Clocks
from service.climate.cold_surface import ColdSurface
from service.climate.mites import generations
from service.nests.place import Place, PlaceKind
from service.nests.treatment import Against, Treatment
from service.quality.flag import Flag, Judged
from service.settings.settings import Settings
from service.store.reading_store import Batch
from service.store.sqlite_readings import SqliteReadings
from tests.service.answers.test_answers import settings as settings_of

NOW = datetime(2026, 3, 21, 12, tzinfo=UTC)
DAY = timedelta(days=1)
QUARTER = timedelta(minutes=15)
PLACES = (
    Place(id="shed", kind=PlaceKind.SHED, name="Hazel shed"),
    Place(id="outdoors", kind=PlaceKind.OUTDOORS, name="Outdoors"),
    Place(id="pane", kind=PlaceKind.SURFACE, name="The pane", within="shed"),
    Place(id="cage-1", kind=PlaceKind.CAGE, name="Cage 1", within="shed"),
    Place(id="box-1", kind=PlaceKind.BOX, name="Box 1", within="cage-1"),
)
HOUR = timedelta(hours=1)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    sensors = tuple(
        Sensor(device=f"th-{place.id}", place=place.id, interval=QUARTER, overdue_after=HOUR)
        for place in PLACES
    )
    return replace(settings_of(tmp_path), places=PLACES, sensors=sensors)


@pytest.fixture
def readings(settings: Settings) -> Iterator[SqliteReadings]:
    opened = SqliteReadings(settings.readings_file, writer=True)
    yield opened
    opened.close()


def measure(
    store: SqliteReadings, place: str, days: float, value: float, damp: float | None = None
) -> None:
    """Every quarter of an hour for so many days until now."""
    told = {Quantity.TEMPERATURE: value}
    if damp is not None:
        told[Quantity.RELATIVE_HUMIDITY] = damp
    judged = []
    for n in range(round(days * 96)):
        at = NOW - (n + 1) * QUARTER
        for quantity, this in told.items():
            reading = Reading(
                device=f"th-{place}",
                place=place,
                quantity=quantity,
                value=this,
                measured_at=at,
                received_at=at,
            )
            judged.append(Judged(reading=reading, flag=Flag.PASS, reason=""))
    store.commit(Batch(judged=judged))


def treated(place: str, days_ago: float, against: Against = Against.MITES) -> Treatment:
    return Treatment(id=1, place=place, against=against, at=NOW - days_ago * DAY)


def test_mites_are_counted_from_the_last_treatment_by_the_warmth_there(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, "shed", 12, 20.0)
    [shed] = Clocks(readings, settings, [treated("shed", 10)], NOW).mites()
    assert shed.since == NOW - 10 * DAY
    assert shed.grown == generations([20.0] * 240)


def test_without_a_treatment_they_are_counted_from_the_first_reading(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, "shed", 3, 20.0)
    [shed] = Clocks(readings, settings, [], NOW).mites()
    assert (shed.since, shed.treatment) == (NOW - 3 * DAY, None)


def test_a_treatment_of_long_ago_is_counted_for_half_a_year(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, "shed", 2, 20.0)
    [shed] = Clocks(readings, settings, [treated("shed", 900)], NOW).mites()
    assert shed.since == whole_hour(NOW - LONGEST)
    assert shed.grown is not None
    assert shed.grown.coverage == pytest.approx(2 / 180, abs=0.001)


def test_a_box_treated_for_itself_goes_by_the_shed_where_it_has_no_thermometer(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, "shed", 6, 20.0)
    told = [treated("shed", 6), replace(treated("box-1", 2), id=2)]
    clocks = Clocks(readings, settings, told, NOW).mites()
    assert [one.place.id for one in clocks] == ["shed", "box-1"]
    assert (clocks[1].measured_at, clocks[1].since) == ("shed", NOW - 2 * DAY)


def test_with_no_thermometer_at_all_nobody_can_tell(
    readings: SqliteReadings, settings: Settings
) -> None:
    [shed] = Clocks(readings, settings, [treated("shed", 6)], NOW).mites()
    assert (shed.grown, shed.measured_at) == (None, None)


def test_a_thermometer_that_tells_what_no_air_has_tells_nothing(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, "shed", 3, 124.0, 85.0)
    measure(readings, "pane", 3, 124.0)
    told = Clocks(readings, settings, [], NOW).told()
    assert [one.grown for one in told.mould] == [None]
    assert told.mites[0].grown is None


def test_mould_grows_on_a_cold_pane_in_damp_air_and_begins_anew_when_cleaned(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, "shed", 15, 15.0, 85.0)
    measure(readings, "pane", 15, 12.0)
    [pane] = Clocks(readings, settings, [], NOW).mould()
    cleaned = treated("shed", 1, Against.MOULD)
    [clean] = Clocks(readings, settings, [cleaned], NOW).mould()
    assert pane.grown is not None
    assert clean.grown is not None
    assert pane.grown.least > clean.grown.most > 0
    assert (pane.reckoned, pane.place.id) == (False, "pane")


def test_without_a_pane_sensor_the_described_surface_counts_and_needs_outdoor_air(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, "shed", 5, 15.0, 85.0)
    by_factor = replace(settings, surface=ColdSurface(temperature_factor=0.5))
    [unknown] = Clocks(readings, settings, [], NOW).mould()
    assert (unknown.grown, "set-up asks" in unknown.why_not) == (None, True)
    [no_outdoors] = Clocks(readings, by_factor, [], NOW).mould()
    assert (no_outdoors.grown, "outdoors" in no_outdoors.why_not) == (None, True)
    measure(readings, "outdoors", 5, 5.0)
    [told] = Clocks(readings, by_factor, [], NOW).mould()
    assert told.grown is not None
    assert (told.reckoned, told.grown.damp_h) == (True, 120)
