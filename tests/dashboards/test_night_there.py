"""Whose sensor tells a place's night."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from dashboards.night_there import LastNights
from dashboards.shed_air import ShedAir
from tests.dashboards.filled_shed import NOW, FilledShed, open_shed


@pytest.fixture
def filled(tmp_path: Path) -> Iterator[FilledShed]:
    shed = open_shed(tmp_path)
    shed.fill_air(hours=30, skip=("th-2",), every=timedelta(minutes=2))
    yield shed
    shed.close()


def nights(shed: FilledShed) -> LastNights:
    air = ShedAir(shed.readings, shed.settings, tuple(shed.readings.latest()), NOW)
    return LastNights(air, shed.readings, shed.settings, NOW)


def test_a_box_with_a_sensor_has_a_night_of_its_own(filled: FilledShed) -> None:
    own = nights(filled).at("box-2")
    assert own is not None
    assert (own.place, own.device) == ("box-2", "th-2")


def test_a_box_without_one_has_that_of_the_shed_with_the_sheds_limits(filled: FilledShed) -> None:
    around = nights(filled).at("box-3")
    assert around is not None
    assert (around.place, around.limits.cold_c) == ("shed", 5.0)


def test_the_low_of_the_night_is_the_lowest_reading_of_its_dark_hours(filled: FilledShed) -> None:
    # The air of the tests is 14 + 4 sin(2 pi (hour - 9) / 24): its lowest, 10, is at 3:00.
    told = nights(filled).at("shed")
    assert told is not None
    assert told.summary is not None
    assert told.summary.low_c == pytest.approx(10.0, abs=0.01)
    assert told.summary.coverage == pytest.approx(1.0, abs=0.01)


def test_a_place_that_no_sensor_is_near_has_no_night_to_tell(tmp_path: Path) -> None:
    shed = open_shed(tmp_path, sensors=())
    try:
        assert nights(shed).at("box-1") is None
    finally:
        shed.close()
