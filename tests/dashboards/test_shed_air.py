"""Day and night on the pages are those of the rules."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from dashboards.shed_air import ShedAir
from devices.reading import Quantity, Reading
from service.nests.place import Place, PlaceKind
from service.quality.flag import Flag, Judged
from service.settings.away import JAR, with_sensors_away
from service.store.reading_store import Batch
from tests.dashboards.filled_shed import NOW, FilledShed, open_shed

MINUTE = timedelta(minutes=1)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[FilledShed]:
    """Two sensors stand in the shed."""
    shed = open_shed(tmp_path)
    first, second = shed.settings.sensors
    shed.settings = replace(shed.settings, sensors=(first, replace(second, place="shed")))
    yield shed
    shed.close()


def is_night(shed: FilledShed, *lux: float) -> bool | None:
    """As told after half an hour of these lights, one of each sensor, up to now."""
    judged = [
        Judged(reading=reading(sensor.device, value, minutes), flag=Flag.PASS)
        for sensor, value in zip(shed.settings.sensors, lux, strict=False)
        for minutes in range(30)
    ]
    shed.readings.commit(Batch(judged=judged))
    return ShedAir(shed.readings, shed.settings, tuple(shed.readings.latest()), NOW).is_night()


def reading(device: str, lux: float, minutes_ago: int) -> Reading:
    at = NOW - minutes_ago * MINUTE
    return Reading(
        device=device,
        place="shed",
        quantity=Quantity.ILLUMINANCE,
        value=lux,
        measured_at=at,
        received_at=at,
    )


@pytest.mark.parametrize(("lux", "night"), [(0.0, True), (300.0, False)])
def test_measured_light_tells_night_from_day(shed: FilledShed, lux: float, night: bool) -> None:
    assert is_night(shed, lux) is night


def test_nobody_can_tell_where_two_light_sensors_disagree(shed: FilledShed) -> None:
    assert is_night(shed, 300.0, 0.0) is None


def told(device: str, celsius: float, since: timedelta, until: timedelta) -> list[Judged]:
    """One temperature in the shed each minute, from that long ago to that long ago."""
    found = []
    ago = since
    while ago > until:
        at = NOW - ago
        one = Reading(
            device=device,
            place="shed",
            quantity=Quantity.TEMPERATURE,
            value=celsius,
            measured_at=at,
            received_at=at,
        )
        found.append(Judged(reading=one, flag=Flag.PASS))
        ago -= MINUTE
    return found


def air_of(shed: FilledShed) -> ShedAir:
    return ShedAir(shed.readings, shed.settings, tuple(shed.readings.latest()), NOW)


def test_the_thread_goes_on_where_a_sensor_was_replaced(tmp_path: Path) -> None:
    shed = open_shed(tmp_path)
    hour = timedelta(hours=1)
    shed.readings.commit(
        Batch(
            judged=[
                *told("th-old", 10.0, 4 * hour, 2 * hour),
                *told("th-shed", 12.0, 2 * hour, -MINUTE),
            ]
        )
    )
    air = air_of(shed)
    (source,) = air.sources
    view = air.channel(source, NOW - 4 * hour, width=2 * MINUTE)
    shed.close()
    assert source.device == "th-shed"
    assert len(view.strands) == 1
    temperatures = [moment.temperature_c for moment in view.strands[0]]
    assert (temperatures[0], temperatures[-1]) == (10.0, 12.0)
    assert set(temperatures) == {10.0, 12.0}


def test_a_sensor_that_is_gone_never_tells_the_present(tmp_path: Path) -> None:
    shed = open_shed(tmp_path)
    shed.readings.commit(Batch(judged=told("th-old", 10.0, timedelta(hours=1), timedelta(hours=0))))
    air = air_of(shed)
    (source,) = air.sources
    view = air.channel(source, NOW - timedelta(hours=2), width=timedelta(minutes=10))
    shed.close()
    assert source.device == "th-old"
    assert view.strands
    # Its last value is a minute old; a sensor that is set up no more has no say about now.
    assert view.latest is None


def test_the_air_of_the_salt_jar_is_nobodys(tmp_path: Path) -> None:
    shed = open_shed(tmp_path)
    settings = with_sensors_away(shed.settings, {"th-shed"})
    in_jar = replace(reading("th-shed", 22.0, 1), place=JAR.id, quantity=Quantity.TEMPERATURE)
    shed.readings.commit(Batch(judged=[Judged(reading=in_jar, flag=Flag.PASS)]))
    air = ShedAir(shed.readings, settings, tuple(shed.readings.latest()), NOW)
    shed.close()
    assert JAR.id not in {source.place for source in air.sources}
    assert air.of_shed.temperature is None or air.of_shed.temperature.leading.place == "shed"


def test_a_thermometer_on_the_window_pane_tells_of_no_air(tmp_path: Path) -> None:
    shed = open_shed(tmp_path)
    pane = Place(id="pane", kind=PlaceKind.SURFACE, name="Window pane", within="shed")
    settings = replace(shed.settings, places=(*shed.settings.places, pane))
    on_pane = replace(reading("t-pane", 2.0, 1), place="pane", quantity=Quantity.TEMPERATURE)
    shed.readings.commit(Batch(judged=[Judged(reading=on_pane, flag=Flag.PASS)]))
    air = ShedAir(shed.readings, settings, tuple(shed.readings.latest()), NOW)
    shed.close()
    assert "pane" not in {source.place for source in air.sources}
