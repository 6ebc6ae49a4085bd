"""How well a sensor talks, counted from what is stored, wherever it stood."""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.answers.sensor_health import Coverage, SensorHealth, sensors_health, usual_gap
from service.quality.correction import Correction
from service.quality.flag import Flag, Judged
from service.store.calibration_store import Calibration
from service.store.reading_store import Batch, Heard
from service.store.sqlite_readings import SqliteReadings

NOW = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)
HOUR = timedelta(hours=1)
MONTH = timedelta(days=30)
SENSOR = Sensor(device="th-1", place="shed", interval=HOUR, overdue_after=3 * HOUR)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteReadings]:
    kept = SqliteReadings(tmp_path / "readings.db", writer=True)
    yield kept
    kept.close()


def tell(
    store: SqliteReadings,
    hours_ago: Sequence[float],
    *,
    quantity: Quantity = Quantity.TEMPERATURE,
    value: float = 12.0,
    device: str = "th-1",
    place: str = "shed",
    flag: Flag = Flag.PASS,
) -> None:
    judged = [
        Judged(
            reading=Reading(
                device=device,
                place=place,
                quantity=quantity,
                value=value,
                measured_at=NOW - ago * HOUR,
                received_at=NOW - ago * HOUR,
            ),
            flag=flag,
        )
        for ago in hours_ago
    ]
    store.commit(Batch(judged=judged))


def health(store: SqliteReadings, *calibrations: Calibration) -> SensorHealth:
    (found,) = sensors_health(store, [SENSOR], calibrations, NOW)
    return found


def calibration(device: str) -> Calibration:
    return Calibration(
        id=1,
        correction=Correction(
            device=device, quantity=Quantity.TEMPERATURE, since=NOW, slope=1.0, offset=0.5
        ),
        method="offset",
        reference="a thermometer",
        before=18.0,
        after=18.5,
        by="Ida",
        made_at=NOW,
    )


def test_before_its_first_word_nothing_is_known(store: SqliteReadings) -> None:
    found = health(store)
    assert (found.heard_at, found.heard_every, found.coverage) == (None, None, None)
    assert (found.battery, found.signal, sum(found.flags.values())) == (None, None, 0)


def test_how_often_it_is_heard_stands_beside_what_was_set(store: SqliteReadings) -> None:
    # Twelve every two hours and one that came late: the median is two hours.
    tell(store, [0.5, *range(1, 24, 2)])
    found = health(store)
    assert (found.told_every, found.heard_every) == (HOUR, 2 * HOUR)


def test_too_few_readings_tell_no_interval() -> None:
    assert usual_gap([NOW + n * HOUR for n in range(5)]) is None
    assert usual_gap([NOW + n * HOUR for n in range(6)]) == HOUR


def test_its_last_sign_of_life_is_told(store: SqliteReadings) -> None:
    heard = Heard(device="th-1", at=NOW - HOUR, deadline=NOW + 2 * HOUR)
    store.commit(Batch(heard=[heard]))
    assert health(store).heard_at == NOW - HOUR


def test_battery_and_signal_are_the_newest_of_all_its_places(store: SqliteReadings) -> None:
    tell(store, [30], quantity=Quantity.BATTERY, value=80.0)
    tell(store, [20], quantity=Quantity.BATTERY, value=78.0, place="salt jar")
    tell(store, [2], quantity=Quantity.SIGNAL, value=-71.0)
    found = health(store)
    assert found.battery is not None
    assert (found.battery.value, found.battery.measured_at) == (78.0, NOW - 20 * HOUR)
    assert found.signal is not None
    assert found.signal.value == -71.0


def test_a_voltage_stands_for_the_battery_where_no_share_is_told(store: SqliteReadings) -> None:
    tell(store, [2], quantity=Quantity.BATTERY_VOLTAGE, value=2.9)
    found = health(store).battery
    assert found is not None
    assert found.value == 2.9


def test_flags_are_counted_over_the_last_day_alone(store: SqliteReadings) -> None:
    tell(store, [1, 2, 3])
    tell(store, [1, 2], quantity=Quantity.RELATIVE_HUMIDITY, flag=Flag.SUSPECT)
    tell(store, [30], flag=Flag.FAIL)
    assert health(store).flags == {Flag.PASS: 3, Flag.SUSPECT: 2}


def test_a_night_in_the_salt_jar_is_no_silence(store: SqliteReadings) -> None:
    tell(store, [*range(1, 100), *range(113, 31 * 24)])
    tell(store, range(100, 113), place="salt jar")
    assert health(store).coverage == Coverage(length=MONTH, share=1.0)


def test_one_that_was_silent_when_the_month_began_is_measured_by_the_whole_month(
    store: SqliteReadings,
) -> None:
    tell(store, [40 * 24, *range(1, 15 * 24 + 1)])
    assert health(store).coverage == Coverage(length=MONTH, share=0.5)


def test_another_sensor_at_its_place_is_not_counted(store: SqliteReadings) -> None:
    tell(store, range(1, 49), device="th-2")
    found = health(store, calibration("th-2"))
    assert (found.coverage, found.calibrations) == (None, ())
    assert health(store, calibration("th-1")).calibrations == (calibration("th-1"),)
