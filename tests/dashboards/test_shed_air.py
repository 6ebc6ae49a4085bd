"""Day and night on the pages are those of the rules."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from dashboards.shed_air import ShedAir
from devices.reading import Quantity, Reading
from service.quality.flag import Flag, Judged
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
