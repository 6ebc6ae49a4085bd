"""Nights out of a real store: with all sensors, with some missing, and over a change of clocks."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

import pytest

from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.answers.nights import NightAnswer, nights
from service.climate.cold_surface import ColdSurface
from service.climate.light_plan import LampSchedule
from service.nests.place import Place, PlaceKind
from service.quality.flag import Flag, Judged
from service.settings.settings import Settings
from service.store.reading_store import Batch
from service.store.sqlite_readings import SqliteReadings
from tests.service.answers.test_answers import settings as plain_settings

FIVE_MINUTES, HOUR, DAY = timedelta(minutes=5), timedelta(hours=1), timedelta(days=1)
GAP = timedelta(minutes=15)
LAMPS = LampSchedule(on=time(6, 30), off=time(20, 30))
NOON = datetime(2026, 3, 27, 11, tzinfo=UTC)  # of Friday; clocks change in the night to Sunday
Values = Callable[[datetime], float]


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteReadings]:
    kept = SqliteReadings(tmp_path / "readings.db", writer=True)
    yield kept
    kept.close()


@pytest.fixture
def shed(tmp_path: Path) -> Settings:
    """A shed with lamps and sensors for its air, for the air outdoors, and on a pane."""
    kinds = {"shed": PlaceKind.SHED, "out": PlaceKind.OUTDOORS, "pane": PlaceKind.SURFACE}
    plain = plain_settings(tmp_path)
    return replace(
        plain,
        light=replace(plain.light, schedule=LAMPS),
        places=tuple(Place(id=place, kind=kind, name=place) for place, kind in kinds.items()),
        sensors=tuple(
            Sensor(device=f"t-{place}", place=place, interval=FIVE_MINUTES, overdue_after=GAP)
            for place in kinds
        ),
    )


def tell(
    store: SqliteReadings,
    place: str,
    quantity: Quantity,
    value: Values | float,
    *,
    since: datetime = NOON,
    until: datetime = NOON + 3 * DAY,
    device: str = "",
) -> None:
    rows, at = [], since
    while at < until:
        reading = Reading(
            device=device or f"t-{place}",
            place=place,
            quantity=quantity,
            value=value(at) if callable(value) else value,
            measured_at=at,
            received_at=at,
        )
        rows.append(Judged(reading=reading, flag=Flag.PASS))
        at += FIVE_MINUTES
    store.commit(Batch(judged=rows))


def tell_air(store: SqliteReadings) -> None:
    """18 °C and 65 %: dew point 11.330 °C by PsychroLib 2.5.0 and CoolProp 8.0.0."""
    tell(store, "shed", Quantity.TEMPERATURE, 18.0)
    tell(store, "shed", Quantity.RELATIVE_HUMIDITY, 65.0)


def told(
    store: SqliteReadings, shed: Settings, until: datetime = NOON + 3 * DAY
) -> list[NightAnswer]:
    return nights(store, shed, NOON, until, until)


def test_a_night_of_the_change_to_summer_time_is_an_hour_shorter(
    store: SqliteReadings, shed: Settings
) -> None:
    tell(store, "shed", Quantity.TEMPERATURE, 4.0)
    found = {night["night"]: night for night in told(store, shed)}
    assert (found["2026-03-28"]["from"], found["2026-03-28"]["to"]) == (
        "2026-03-28T19:30:00Z",
        "2026-03-29T04:30:00Z",
    )
    hours = [found[night]["hours_below"]["5.0"] for night in ("2026-03-27", "2026-03-28")]
    assert hours == [10.0, 9.0]
    assert found["2026-03-28"]["coverage"] == 1.0


def test_a_thermometer_on_the_pane_tells_water(store: SqliteReadings, shed: Settings) -> None:
    tell_air(store)
    tell(store, "pane", Quantity.TEMPERATURE, 10.0)
    night = told(store, shed)[0]
    assert night["surface"] == "measured"
    assert night["surface_margin_min_c"] == pytest.approx(10.0 - 11.330, abs=0.05)
    assert night["condensation_min"] == 600.0
    assert night["surface_coverage"] == 1.0


def test_after_the_thermometer_on_the_pane_fell_silent_the_keepers_word_is_taken(
    store: SqliteReadings, shed: Settings
) -> None:
    described = replace(shed, surface=ColdSurface(below_air_k=1.0))
    tell_air(store)
    tell(store, "pane", Quantity.TEMPERATURE, 10.0, until=NOON + DAY)
    found = told(store, described)
    assert [night["surface"] for night in found] == ["measured", "reckoned", "reckoned"]
    assert [night["condensation_min"] for night in found] == [600.0, 0.0, 0.0]


def test_of_two_surfaces_the_coldest_counts(store: SqliteReadings, shed: Settings) -> None:
    wall = Place(id="wall", kind=PlaceKind.SURFACE, name="Wall")
    both = replace(shed, places=(*shed.places, wall))
    tell_air(store)
    tell(store, "pane", Quantity.TEMPERATURE, 12.0)
    tell(store, "wall", Quantity.TEMPERATURE, 10.0)
    assert told(store, both)[0]["condensation_min"] == 600.0


def test_without_a_thermometer_on_it_the_surface_is_reckoned_from_outdoors(
    store: SqliteReadings, shed: Settings
) -> None:
    described = replace(shed, surface=ColdSurface(temperature_factor=0.5))
    tell_air(store)
    tell(store, "out", Quantity.TEMPERATURE, 0.0)
    night = told(store, described)[0]
    assert night["surface"] == "reckoned"
    assert night["surface_margin_min_c"] == pytest.approx(9.0 - 11.330, abs=0.05)
    assert night["condensation_min"] == 600.0


def test_without_an_outdoor_sensor_a_factor_tells_nothing_and_all_else_is_told(
    store: SqliteReadings, shed: Settings
) -> None:
    described = replace(shed, surface=ColdSurface(temperature_factor=0.5))
    tell_air(store)
    night = told(store, described)[0]
    assert (night["surface"], night["condensation_min"]) == (None, None)
    assert (night["condensation_least_min"], night["condensation_most_min"]) == (None, None)
    assert (night["low_c"], night["rh_max_pct"], night["coverage"]) == (18.0, 65.0, 1.0)


def test_where_the_pane_told_nothing_the_keepers_word_is_taken(
    store: SqliteReadings, shed: Settings
) -> None:
    described = replace(shed, surface=ColdSurface(below_air_k=14.0))
    tell_air(store)
    night = told(store, described)[0]
    assert (night["surface"], night["condensation_min"]) == ("reckoned", 600.0)


def test_a_surface_that_was_told_in_kelvin_near_the_dew_point_is_wet_perhaps(
    store: SqliteReadings, shed: Settings
) -> None:
    described = replace(shed, surface=ColdSurface(below_air_k=6.0))  # the dew point: 6.67 below
    tell_air(store)
    night = told(store, described)[0]
    assert (night["condensation_least_min"], night["condensation_most_min"]) == (0.0, 600.0)
    assert night["condensation_min"] is None


def test_water_of_the_afternoon_is_still_there_in_the_night(
    store: SqliteReadings, shed: Settings
) -> None:
    evening = datetime(2026, 3, 28, 19, 30, tzinfo=UTC)

    def pane(at: datetime) -> float:
        return 9.0 if evening - 6 * HOUR <= at < evening else 12.0

    tell_air(store)
    tell(store, "pane", Quantity.TEMPERATURE, pane)
    minutes = {night["night"]: night["condensation_min"] for night in told(store, shed)}
    assert minutes["2026-03-27"] == 0.0
    assert minutes["2026-03-28"] is not None
    assert minutes["2026-03-28"] > 300.0


def test_a_night_without_humidity_says_so_and_counts_no_damp_hour(
    store: SqliteReadings, shed: Settings
) -> None:
    tell(store, "shed", Quantity.TEMPERATURE, 8.0)
    night = told(store, shed)[0]
    assert set(night["hours_above"].values()) == {None}
    assert (night["rh_max_pct"], night["humidity_coverage"]) == (None, 0.0)
    assert night["low_c"] == 8.0


def test_a_month_missing_leaves_nights_of_which_nothing_is_known(
    store: SqliteReadings, shed: Settings
) -> None:
    later = NOON + 35 * DAY
    tell(store, "shed", Quantity.TEMPERATURE, 8.0)
    tell(store, "shed", Quantity.TEMPERATURE, 12.0, since=later, until=later + 2 * DAY)
    found = told(store, shed, later + 2 * DAY)
    assert len(found) == 37
    dark = [night for night in found if night["coverage"] == 0.0]
    assert len(dark) == 32
    assert {night["low_c"] for night in dark} == {None}
    assert {hours for night in dark for hours in night["hours_below"].values()} == {None}
    assert (found[0]["low_c"], found[-1]["low_c"]) == (8.0, 12.0)


def test_a_sensor_that_was_moved_to_another_place_tells_of_each_place_its_own_nights(
    store: SqliteReadings, shed: Settings
) -> None:
    moved = NOON + DAY
    tell(store, "shed", Quantity.TEMPERATURE, 8.0, until=moved)
    tell(store, "box", Quantity.TEMPERATURE, 30.0, since=moved, device="t-shed")
    lows = [night["low_c"] for night in told(store, shed)]
    assert lows[0] == 8.0
    assert 30.0 not in lows
