"""Air over ice against values that other people and programs computed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.climate.frost import (
    frost_point_c,
    over_ice_pct,
    over_water_pct,
    saturation_over_ice_pa,
)
from service.climate.moist_air import dew_point_c, vapour_pressure_pa

# IAPWS's equation for sublimation, by the iapws package 1.5.5: °C, Pa.
IAPWS_ICE = [(-1.0, 562.665), (-2.0, 517.705), (-5.0, 401.741), (-10.0, 259.874), (-20.0, 103.239)]

STATED_ERROR = 0.0005


@pytest.mark.parametrize(("temperature_c", "expected_pa"), IAPWS_ICE)
def test_saturation_over_ice_keeps_its_stated_error_against_iapws(
    temperature_c: float, expected_pa: float
) -> None:
    assert saturation_over_ice_pa(temperature_c) == pytest.approx(expected_pa, rel=STATED_ERROR)


# The frost points of the WMO form by another program, humidity over liquid water.
@pytest.mark.parametrize(
    ("temperature_c", "humidity_pct", "frost_c"), [(-10.0, 80.0, -11.3865), (-5.0, 90.0, -5.65013)]
)
def test_frost_points_are_those_of_wmo(
    temperature_c: float, humidity_pct: float, frost_c: float
) -> None:
    assert frost_point_c(temperature_c, humidity_pct) == pytest.approx(frost_c, abs=1e-4)


def test_saturation_over_water_is_a_tenth_above_that_over_ice_at_10_below_zero() -> None:
    # 1.105 by the values of WMO-No. 8, annex 4.B, at -10 °C.
    assert over_ice_pct(-10.0, 100.0) == pytest.approx(110.5, abs=0.1)


@given(st.floats(-40.0, -0.1), st.floats(5.0, 90.0))
def test_frost_comes_before_dew_where_both_can(temperature_c: float, humidity_pct: float) -> None:
    frost_c = frost_point_c(temperature_c, humidity_pct)
    assert frost_c is not None
    assert frost_c > dew_point_c(temperature_c, humidity_pct)


@given(st.floats(-40.0, 0.0), st.floats(5.0, 100.0))
def test_air_is_saturated_over_ice_at_its_frost_point(
    temperature_c: float, humidity_pct: float
) -> None:
    frost_c = frost_point_c(temperature_c, humidity_pct)
    assert frost_c is not None
    vapour_pa = vapour_pressure_pa(temperature_c, humidity_pct)
    assert saturation_over_ice_pa(frost_c) == pytest.approx(vapour_pa)


def test_damp_air_above_zero_has_no_frost_point() -> None:
    assert frost_point_c(15.0, 60.0) is None


def test_humidity_over_ice_turned_round_is_humidity_over_water() -> None:
    assert over_water_pct(-7.0, over_ice_pct(-7.0, 63.0)) == pytest.approx(63.0)


@pytest.mark.parametrize("temperature_c", [0.1, -90.1, float("nan")])
def test_where_there_is_no_ice_nothing_is_told_of_it(temperature_c: float) -> None:
    with pytest.raises(ValueError, match="outside"):
        saturation_over_ice_pa(temperature_c)
