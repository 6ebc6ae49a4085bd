"""Answers of a calibration: numbers as people type them, and what is refused in words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.views.calibration_form import (
    read_instant,
    read_points,
    read_quantity,
    read_reference,
    read_salt,
    read_warmth,
    typed_number,
)
from devices.reading import Quantity
from service.climate.salts import Salt
from service.errors import InputError
from service.quality.calibrating import Point


@given(value=st.floats(-1000, 1000).map(lambda value: round(value, 3)))
def test_a_number_is_read_back_with_a_point_and_with_a_comma(value: float) -> None:
    for written in (f"{value:.3f}", f"{value:.3f}".replace(".", ","), f" {value:.3f} "):
        assert typed_number(written) == pytest.approx(value)


def test_a_true_minus_sign_is_one() -> None:
    assert typed_number("\N{MINUS SIGN}3.5") == -3.5


@pytest.mark.parametrize("text", ["", "1.2.3", "1,2,3", "damp", "1e999", "nan", "inf", "1 %"])
def test_what_is_no_number_is_none(text: str) -> None:
    assert typed_number(text) is None


def test_a_quantity_that_is_not_calibrated_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="temperature, relative humidity, mass"):
        read_quantity({"quantity": "battery"})


@pytest.mark.parametrize("text", ["", "116", "-16"])
def test_a_reference_names_what_is_allowed(text: str) -> None:
    with pytest.raises(InputError, match="-15 to 115 %"):
        read_reference({"reference": text}, Quantity.RELATIVE_HUMIDITY)


def test_both_points_are_read() -> None:
    told = {
        "first_raw": "1,5",
        "first_reference": "0",
        "second_raw": "20.5",
        "second_reference": "20",
    }
    assert read_points(told, Quantity.TEMPERATURE) == (
        Point(raw=1.5, reference=0.0),
        Point(raw=20.5, reference=20.0),
    )
    with pytest.raises(InputError, match="What the reference said then"):
        read_points({**told, "second_reference": "?"}, Quantity.TEMPERATURE)


def test_a_salt_is_one_of_those_that_are_offered() -> None:
    assert read_salt({"salt": "sodium chloride"}) is Salt.SODIUM_CHLORIDE
    with pytest.raises(InputError, match="magnesium chloride"):
        read_salt({"salt": "pepper"})


def test_a_temperature_beside_the_jar_may_be_left_out() -> None:
    assert read_warmth(" ") is None
    assert read_warmth("20,5") == 20.5


@pytest.mark.parametrize("text", ["-1", "51", "warm"])
def test_a_temperature_at_which_no_salt_is_a_reference_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="0 to 50 °C"):
        read_warmth(text)


@pytest.mark.parametrize("text", ["", "noon", "2026-04-21T12:00:00", "0001-01-01T00:00:00+14:00"])
def test_an_instant_has_a_zone_and_can_be(text: str) -> None:
    assert read_instant(text) is None
