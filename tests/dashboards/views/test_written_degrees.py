"""Degrees as people write them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.views.written_degrees import (
    Axis,
    degrees_in_words,
    degrees_to_edit,
    read_degrees,
    read_place,
)
from service.errors import InputError

LATITUDES = [
    ("52.37", 52.37),
    ("52,37", 52.37),
    ("52.37 N", 52.37),
    ("N 52.37", 52.37),
    ("n52,37", 52.37),
    ("52.37 north", 52.37),
    ("52.37° N", 52.37),
    ("52°22' N", 52 + 22 / 60),
    ("52\N{MASCULINE ORDINAL INDICATOR}22\N{PRIME}N", 52 + 22 / 60),
    ("52 22", 52 + 22 / 60),
    ("52° 22.5'", 52 + 22.5 / 60),
    ("52°22'30\" S", -(52 + 22 / 60 + 30 / 3600)),
    ("52°22\N{PRIME}30\N{DOUBLE PRIME} s", -(52 + 22 / 60 + 30 / 3600)),
    ("-33.87", -33.87),
    ("\N{MINUS SIGN}33,87", -33.87),
    ("33.87 South", -33.87),
    ("0", 0.0),
    ("90 S", -90.0),
]


@pytest.mark.parametrize(("text", "degrees"), LATITUDES)
def test_degrees_north_or_south_are_read(text: str, degrees: float) -> None:
    assert read_degrees(text, "latitude") == pytest.approx(degrees, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("4,9", 4.9), ("3°42' W", -3.7), ("west 3.7", -3.7), ("180 E", 180.0), ("151 13 e", 151.2167)],
)
def test_degrees_east_or_west_are_read(text: str, degrees: float) -> None:
    assert read_degrees(text, "longitude") == pytest.approx(degrees, abs=1e-4)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "north",
        "90.01",
        "-91 ",
        "52.37 E",
        "N 52 S",
        "-52 S",
        "52 60",
        "52 22 60",
        "52.5 22",
        "52 22.5 30",
        "1e1",
        "nan",
        "inf",
        "52.3.7",
        "٥٢",
        "52.37; drop",
        "<b>52</b>",
        "9" * 400,
    ],
)
def test_what_is_no_latitude_is_refused_in_words(text: str) -> None:
    with pytest.raises(InputError, match=r"Degrees north or south: .* allowed"):
        read_degrees(text, "latitude")


@pytest.mark.parametrize(
    ("north", "east"),
    [
        ("52.3702, 4.8952", ""),
        ("52,3702; 4,8952", ""),
        ("52.3702 N 4.8952 E", ""),
        ("52.3702° N, 4.8952° E", " "),
        ("52.3702", "4.8952"),
    ],
)
def test_a_place_is_read_from_one_field_or_from_two(north: str, east: str) -> None:
    assert read_place(north, east) == pytest.approx((52.3702, 4.8952), abs=1e-9)


def test_a_half_of_a_place_is_refused() -> None:
    with pytest.raises(InputError, match="east or west"):
        read_place("52.37", "")


@given(st.floats(-90, 90), st.sampled_from(["latitude", "longitude"]))
def test_what_is_shown_for_editing_is_read_back(value: float, axis: Axis) -> None:
    assert read_degrees(degrees_to_edit(value, axis), axis) == pytest.approx(value, abs=1e-6)


@given(st.integers(0, 89), st.integers(0, 59), st.integers(0, 59), st.sampled_from("NS"))
def test_degrees_minutes_and_seconds_are_sixtieths(
    degrees: int, minutes: int, seconds: int, side: str
) -> None:
    read = read_degrees(f"{degrees}°{minutes}'{seconds}\"{side}", "latitude")
    expected = math.copysign(degrees + minutes / 60 + seconds / 3600, 1 if side == "N" else -1)
    assert read == pytest.approx(expected, abs=1e-9)


@given(st.text(max_size=60))
def test_whatever_is_typed_is_degrees_or_a_sentence(text: str) -> None:
    try:
        told = f"{read_degrees(text, 'longitude')}"
    except InputError as error:
        told = str(error)
    assert "allowed" in told or -180 <= float(told) <= 180


def test_degrees_are_told_with_their_side() -> None:
    assert degrees_in_words(-33.8688, "latitude") == "33.87° S"
    assert degrees_in_words(4.9, "longitude") == "4.90° E"
