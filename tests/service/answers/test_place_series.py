"""A place's quantity goes on across the sensors that stood there, one at a time."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.answers.place_series import PlaceSeries, earlier_there, place_series
from service.quality.flag import Flag, Judged
from service.store.reading_store import Batch, Series
from service.store.sqlite_readings import SqliteReadings

START = datetime(2026, 4, 20, 0, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
GAP = 3 * MINUTE


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteReadings]:
    kept = SqliteReadings(tmp_path / "readings.db", writer=True)
    yield kept
    kept.close()


def tell(store: SqliteReadings, device: str, value: float, since: float, until: float) -> None:
    """A temperature each minute, from hour to hour after START."""
    at = START + since * HOUR
    judged = []
    while at < START + until * HOUR:
        reading = Reading(
            device=device,
            place="shed",
            quantity=Quantity.TEMPERATURE,
            value=value,
            measured_at=at,
            received_at=at,
        )
        judged.append(Judged(reading=reading, flag=Flag.PASS))
        at += MINUTE
    store.commit(Batch(judged=judged))


def sensor(device: str, place: str = "shed") -> Sensor:
    return Sensor(device=device, place=place, interval=MINUTE, overdue_after=GAP)


def of_shed(store: SqliteReadings, *standing: str) -> PlaceSeries:
    """As it is told while these sensors stand in the shed; the first of them leads."""
    sensors = [sensor(device) for device in standing]
    series = store.series()
    leading = next(one for one in series if one.device == standing[0])
    return place_series(series, leading, sensors)


def values(
    told: PlaceSeries, store: SqliteReadings, since: float, until: float
) -> list[tuple[float, float]]:
    """Runs of equal values: each value with how many hours it was told for."""
    runs: list[tuple[float, float]] = []
    for one in told.window(store, START + since * HOUR, START + until * HOUR):
        if runs and runs[-1][0] == one.value:
            runs[-1] = (one.value, runs[-1][1] + 1)
        else:
            runs.append((one.value, 1))
    return [(value, minutes / 60) for value, minutes in runs]


def test_the_past_of_a_replaced_sensor_is_told_before_the_new_one(store: SqliteReadings) -> None:
    tell(store, "old", 10, 0, 5)
    tell(store, "new", 12, 6, 10)
    assert values(of_shed(store, "new"), store, 0, 10) == [(10, 5), (12, 4)]


@pytest.mark.parametrize(("since", "old_ones"), [(4.0, 60), (4.5, 30), (4.95, 3), (5.0, 0)])
def test_the_seam_is_where_it_is_wherever_the_asking_begins(
    store: SqliteReadings, since: float, old_ones: int
) -> None:
    tell(store, "old", 10, 0, 5)
    tell(store, "new", 12, 5, 10)
    told = of_shed(store, "new").window(store, START + since * HOUR, START + 6 * HOUR)
    assert [one.value for one in told] == [10] * old_ones + [12] * 60


def test_two_that_told_at_the_same_time_are_not_mixed(store: SqliteReadings) -> None:
    tell(store, "old", 10, 0, 8)
    tell(store, "new", 12, 5, 10)
    assert values(of_shed(store, "new"), store, 0, 10) == [(10, 5), (12, 5)]


def test_a_short_silence_is_not_filled_by_another(store: SqliteReadings) -> None:
    tell(store, "old", 10, 0, 8)
    tell(store, "new", 12, 2, 4)
    tell(store, "new", 12, 4.5, 10)
    assert values(of_shed(store, "new"), store, 2, 10) == [(12, 2 + 5.5)]


def test_a_sensor_that_came_back_keeps_what_its_stand_in_told(store: SqliteReadings) -> None:
    tell(store, "first", 10, 0, 4)
    tell(store, "stand-in", 12, 4, 8)
    tell(store, "first", 10, 8, 10)
    assert values(of_shed(store, "first"), store, 0, 10) == [(10, 4), (12, 4), (10, 2)]


def test_three_sensors_one_after_the_other_are_one_past(store: SqliteReadings) -> None:
    tell(store, "a", 1, 0, 3)
    tell(store, "b", 2, 2, 6)
    tell(store, "c", 3, 6, 8)
    assert values(of_shed(store, "c"), store, 0, 8) == [(1, 2), (2, 4), (3, 2)]


def test_another_that_still_stands_there_fills_nothing(store: SqliteReadings) -> None:
    tell(store, "first", 10, 4, 8)
    tell(store, "second", 12, 0, 8)
    assert values(of_shed(store, "first", "second"), store, 0, 8) == [(10, 4)]


def test_buckets_are_each_of_one_sensor_and_none_is_lost(store: SqliteReadings) -> None:
    tell(store, "old", 10, 0, 5.05)
    tell(store, "new", 12, 5, 10)
    told = of_shed(store, "new").buckets(
        store, START, START + 10 * HOUR, width=10 * MINUTE, max_gap=GAP
    )
    assert [one.start for one in told] == [START + n * 10 * MINUTE for n in range(60)]
    assert [one.mean for one in told] == [10.0] * 30 + [12.0] * 30
    assert {one.coverage for one in told} == {1.0}


def test_buckets_of_any_width_keep_to_the_grid_that_was_asked_for(store: SqliteReadings) -> None:
    tell(store, "old", 10, 0, 5)
    tell(store, "new", 12, 5.5, 10)
    since, width = START + 17 * MINUTE, 14 * MINUTE
    told = of_shed(store, "new").buckets(store, since, START + 10 * HOUR, width=width, max_gap=GAP)
    starts = [one.start for one in told]
    assert len(starts) == len(set(starts))
    assert all((start - since) % width == timedelta(0) for start in starts)
    assert {one.minimum for one in told} == {one.maximum for one in told} == {10.0, 12.0}


def test_means_are_those_of_the_buckets(store: SqliteReadings) -> None:
    tell(store, "old", 10, 0, 5)
    tell(store, "new", 12, 5.5, 10)
    since, until, width = START + 17 * MINUTE, START + 10 * HOUR, 14 * MINUTE
    series = of_shed(store, "new")
    buckets = series.buckets(store, since, until, width=width, max_gap=GAP)
    means = series.means(store, since, until, width=width)
    assert [(one.start, one.mean) for one in means] == [(one.start, one.mean) for one in buckets]
    assert len(means) > 30


def test_a_sensor_that_was_moved_is_an_earlier_one_where_it_stood() -> None:
    series = [
        Series(id=1, device="moved", place="shed", quantity=Quantity.TEMPERATURE),
        Series(id=2, device="new", place="shed", quantity=Quantity.TEMPERATURE),
        Series(id=3, device="moved", place="box-1", quantity=Quantity.TEMPERATURE),
    ]
    sensors = [sensor("moved", "box-1"), sensor("new")]
    assert earlier_there(series, "shed", Quantity.TEMPERATURE, sensors) == (series[0],)
    assert earlier_there(series, "box-1", Quantity.TEMPERATURE, sensors) == ()
