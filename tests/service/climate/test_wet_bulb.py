"""The wet bulb against values that other programs computed."""

import psychrolib  # type: ignore[import-untyped]
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.climate.frost import over_ice_pct
from service.climate.wet_bulb import wet_bulb_c
from tests.service.climate.psychrolib_rows import ROWS, Row

# CoolProp 8.0.0, which solves for it in another way: °C, %, °C.
COOLPROP = [
    (5.0, 85.0, 3.94456),
    (10.0, 70.0, 7.39457),
    (18.0, 65.0, 14.0253),
    (20.0, 50.0, 13.7765),
    (25.0, 40.0, 16.2014),
    (30.0, 80.0, 27.0906),
    (37.5, 50.0, 28.2191),
]

STATED_ERROR_C = 0.02


@pytest.mark.parametrize("row", ROWS)
def test_wet_bulbs_agree_with_psychrolib(row: Row) -> None:
    told = wet_bulb_c(row.temperature_c, row.over_water_pct)
    assert told == pytest.approx(row.wet_bulb_c, abs=STATED_ERROR_C)


@pytest.mark.parametrize(("temperature_c", "humidity_pct", "expected_c"), COOLPROP)
def test_wet_bulbs_agree_with_a_program_of_another_method(
    temperature_c: float, humidity_pct: float, expected_c: float
) -> None:
    told = wet_bulb_c(temperature_c, humidity_pct)
    assert told == pytest.approx(expected_c, abs=STATED_ERROR_C)


@settings(max_examples=30)
@given(st.floats(-20.0, 35.0), st.floats(20.0, 85.0), st.sampled_from([95_000.0, 101_325.0]))
def test_wet_bulbs_agree_between_the_rows_and_at_other_pressures(
    temperature_c: float, humidity_pct: float, pressure_pa: float
) -> None:
    meant_pct = over_ice_pct(temperature_c, humidity_pct) if temperature_c <= 0 else humidity_pct
    psychrolib.SetUnitSystem(psychrolib.SI)
    told_c = psychrolib.GetTWetBulbFromRelHum(temperature_c, meant_pct / 100.0, pressure_pa)
    if abs(told_c) > 0.6:  # water or ice on the wick: near zero each program decides for itself
        told = wet_bulb_c(temperature_c, humidity_pct, pressure_pa)
        assert told == pytest.approx(told_c, abs=STATED_ERROR_C)


def test_saturated_air_is_its_own_wet_bulb() -> None:
    assert wet_bulb_c(14.0, 100.0) == pytest.approx(14.0, abs=1e-3)
    assert wet_bulb_c(14.0, 105.0) == pytest.approx(14.0, abs=1e-3)


@pytest.mark.parametrize(
    ("temperature_c", "humidity_pct", "pressure_pa"),
    [(-31.0, 50.0, 101_325.0), (61.0, 50.0, 101_325.0), (20.0, 0.0, 101_325.0), (20.0, 50.0, 1.0)],
)
def test_what_lies_beyond_the_equations_is_refused(
    temperature_c: float, humidity_pct: float, pressure_pa: float
) -> None:
    with pytest.raises(ValueError, match=r"outside|not above|not at least"):
        wet_bulb_c(temperature_c, humidity_pct, pressure_pa)
