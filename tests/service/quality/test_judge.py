"""Flags. Their values are those of the IOOS QARTOD manuals: 1 pass, 3 suspect, 4 fail."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from devices.reading import Quantity, Reading
from service.quality.flag import Flag
from service.quality.judge import SPANS, is_history, judge

NOW = datetime(2026, 3, 1, 21, 0, tzinfo=UTC)
PASS, SUSPECT, FAIL = Flag.PASS, Flag.SUSPECT, Flag.FAIL


def reading(
    value: float = 21.0,
    quantity: Quantity = Quantity.TEMPERATURE,
    *,
    age: timedelta = timedelta(0),
) -> Reading:
    return Reading(
        device="th-shed",
        place="shed",
        quantity=quantity,
        value=value,
        measured_at=NOW - age,
        received_at=NOW,
    )


# Sources, as far as there are any: -55 to 125 °C is the range of the DS18B20 (data sheet),
# 300 to 1100 hPa that of the BME280 (data sheet), -127 °C is what a DS18B20 library says for
# a bus fault (from memory), 101.7 % was seen from wet sensors (reports of makers' users).
# The rest is common practice, no source.
CASES = [
    (Quantity.TEMPERATURE, 21.0, PASS),
    (Quantity.TEMPERATURE, -12.0, PASS),
    (Quantity.TEMPERATURE, 60.1, SUSPECT),
    (Quantity.TEMPERATURE, 85.0, SUSPECT),
    (Quantity.TEMPERATURE, 125.1, FAIL),
    (Quantity.TEMPERATURE, -127.0, FAIL),
    (Quantity.RELATIVE_HUMIDITY, 0.0, PASS),
    (Quantity.RELATIVE_HUMIDITY, 100.0, PASS),
    (Quantity.RELATIVE_HUMIDITY, 101.7, SUSPECT),
    (Quantity.RELATIVE_HUMIDITY, 119.0, FAIL),
    (Quantity.RELATIVE_HUMIDITY, -6.0, FAIL),
    (Quantity.ILLUMINANCE, 0.0, PASS),
    (Quantity.ILLUMINANCE, 100_000.0, PASS),
    (Quantity.ILLUMINANCE, -1.0, FAIL),
    (Quantity.ILLUMINANCE, 200_001.0, FAIL),
    (Quantity.MASS, 45.6, PASS),
    (Quantity.MASS, -500.0, SUSPECT),
    (Quantity.MASS, 8_388_607.0, FAIL),
    (Quantity.PRESSURE, 101_325.0, PASS),
    (Quantity.PRESSURE, 1_013.25, FAIL),
    (Quantity.PRESSURE, 110_001.0, FAIL),
    (Quantity.BATTERY, 80.0, PASS),
    (Quantity.BATTERY, 104.0, SUSPECT),
    (Quantity.BATTERY, -1.0, FAIL),
    (Quantity.BATTERY_VOLTAGE, 2.98, PASS),
    (Quantity.BATTERY_VOLTAGE, 2_980.0, FAIL),
    (Quantity.CO2, 640.0, PASS),
    (Quantity.CO2, 20.0, SUSPECT),
    (Quantity.CO2, 65_535.0, FAIL),
    (Quantity.MAINS, 0.0, PASS),
    (Quantity.MAINS, 1.0, PASS),
    (Quantity.MAINS, 0.5, FAIL),
    (Quantity.LAMP_POWER, 36.0, PASS),
    (Quantity.LAMP_POWER, -36.0, FAIL),
    (Quantity.SIGNAL, -71.0, PASS),
    (Quantity.SIGNAL, 7.0, SUSPECT),
    (Quantity.SIGNAL, 71.0, FAIL),
]


@pytest.mark.parametrize(("quantity", "value", "flag"), CASES)
def test_value_is_flagged(quantity: Quantity, value: float, flag: Flag) -> None:
    judged = judge(reading(value, quantity))
    assert judged.flag is flag
    assert (judged.reason == "") == (flag is PASS)


def test_heat_of_a_fire_still_counts_as_danger() -> None:
    assert judge(reading(110.0)).flag is SUSPECT


def test_reason_names_value_and_limits() -> None:
    assert judge(reading(130.0)).reason == (
        "temperature 130 °C is outside what can be, -55 to 125 °C"
    )


@pytest.mark.parametrize("quantity", list(Quantity))
def test_usual_lies_within_possible(quantity: Quantity) -> None:
    span = SPANS[quantity]
    assert span.possible[0] <= span.usual[0] < span.usual[1] <= span.possible[1]


@settings(deadline=None)
@given(st.sampled_from(list(Quantity)), st.floats(allow_nan=False, allow_infinity=False))
def test_raw_value_is_never_changed(quantity: Quantity, value: float) -> None:
    sent = reading(value, quantity)
    assert judge(sent).reading == sent


@pytest.mark.parametrize(
    "age",
    [timedelta(minutes=-5), timedelta(0), timedelta(hours=30), timedelta(days=400)],
)
def test_stamp_within_reason_is_believed(age: timedelta) -> None:
    judged = judge(reading(age=age))
    assert judged.flag is PASS
    assert judged.reading.measured_at == NOW - age
    assert judged.reading.stamped_at is None


@pytest.mark.parametrize(
    "age",
    [timedelta(minutes=-5, milliseconds=-1), timedelta(days=-3650), timedelta(days=400, seconds=1)],
)
def test_stamp_beyond_reason_gives_way_to_the_arrival(age: timedelta) -> None:
    judged = judge(reading(age=age))
    assert judged.flag is SUSPECT
    assert judged.reading.measured_at == NOW
    assert judged.reading.stamped_at == NOW - age
    assert "the arrival stands in" in judged.reason


def test_impossible_value_with_an_impossible_stamp_says_both() -> None:
    judged = judge(reading(300.0, age=timedelta(days=-3650)))
    assert judged.flag is FAIL
    assert "outside what can be" in judged.reason
    assert "the arrival stands in" in judged.reason


@pytest.mark.parametrize(
    ("age", "expected"),
    [
        (timedelta(0), False),
        (timedelta(hours=24), False),
        (timedelta(hours=24, seconds=1), True),
        (timedelta(days=30), True),
    ],
)
def test_reading_older_than_a_day_on_arrival_is_history(age: timedelta, expected: bool) -> None:
    assert is_history(reading(age=age)) is expected


def test_reading_whose_stamp_was_not_believed_is_no_history() -> None:
    assert not is_history(judge(reading(age=timedelta(days=500))).reading)
