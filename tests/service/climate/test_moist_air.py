"""Moist air against values that other people and programs computed."""

import random

import psychrolib  # type: ignore[import-untyped]
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.climate.moist_air import (
    dew_point_c,
    relative_humidity_pct,
    saturation_vapour_pressure_pa,
    temperature_at_humidity_c,
    vapour_pressure_pa,
)

# WMO-No. 8, annex 4.B: the Magnus form, evaluated by another program: °C, Pa.
WMO_MAGNUS = [
    (0.01, 611.643),
    (5.0, 871.743),
    (10.0, 1226.03),
    (15.0, 1701.67),
    (20.0, 2332.60),
    (25.0, 3160.06),
    (30.0, 4233.72),
    (35.0, 5612.84),
    (37.5, 6438.38),
]

# IAPWS-95 by the iapws package 1.5.5: °C, Pa.
IAPWS_95 = [
    (0.01, 611.655),
    (5.0, 872.575),
    (10.0, 1228.20),
    (15.0, 1705.79),
    (20.0, 2339.32),
    (25.0, 3169.93),
    (30.0, 4246.97),
    (35.0, 5629.02),
    (37.5, 6455.51),
    (40.0, 7384.94),
]

# PsychroLib 2.5.0 (ASHRAE Handbook - Fundamentals), dew points above zero: °C, %, Pa, °C.
ASHRAE = [
    (2.0, 95.0, 670.66, 1.2844),
    (5.0, 85.0, 741.61, 2.6915),
    (10.0, 70.0, 859.60, 4.7868),
    (12.0, 90.0, 1262.3, 10.412),
    (15.0, 60.0, 1023.3, 7.3070),
    (18.0, 65.0, 1341.8, 11.330),
    (20.0, 50.0, 1169.4, 9.2724),
    (22.0, 55.0, 1454.6, 12.553),
    (25.0, 40.0, 1267.7, 10.476),
    (25.0, 75.3, 2386.4, 20.326),
    (30.0, 30.0, 1273.8, 10.548),
    (30.0, 80.0, 3396.8, 26.169),
    (35.0, 20.0, 1125.6, 8.7067),
    (37.5, 50.0, 3227.1, 25.304),
]

# Dew points of the WMO form by another program, humidity over liquid water: °C, %, °C.
WMO_DEW_POINTS = [
    (-10.0, 80.0, -12.7969),
    (-5.0, 90.0, -6.38646),
    (5.0, 85.0, 2.68617),
    (10.0, 70.0, 4.77554),
    (18.0, 65.0, 11.3188),
    (20.0, 50.0, 9.25517),
    (25.0, 40.0, 10.4573),
    (30.0, 80.0, 26.1688),
    (37.5, 50.0, 25.3115),
]

# MetPy 1.7.1 takes another formula, also over liquid water below zero: °C, %, °C.
METPY_DEW_POINTS_BELOW_ZERO = [(-10.0, 80.0, -12.8117), (-5.0, 90.0, -6.39875)]

STATED_PRESSURE_ERROR = 0.0035
STATED_DEW_POINT_ERROR_C = 0.05

airs = st.tuples(st.floats(-20.0, 45.0), st.floats(1.0, 100.0))


@pytest.mark.parametrize(("temperature_c", "expected_pa"), WMO_MAGNUS)
def test_saturation_pressure_is_the_magnus_form_of_wmo(
    temperature_c: float, expected_pa: float
) -> None:
    assert saturation_vapour_pressure_pa(temperature_c) == pytest.approx(expected_pa, rel=1e-5)


@pytest.mark.parametrize(("temperature_c", "expected_pa"), IAPWS_95)
def test_saturation_pressure_keeps_its_stated_error_against_iapws_95(
    temperature_c: float, expected_pa: float
) -> None:
    computed_pa = saturation_vapour_pressure_pa(temperature_c)
    assert computed_pa == pytest.approx(expected_pa, rel=STATED_PRESSURE_ERROR)


@pytest.mark.parametrize(("temperature_c", "humidity_pct", "vapour_pa", "dew_c"), ASHRAE)
def test_vapour_pressure_and_dew_point_keep_their_stated_error_against_ashrae(
    temperature_c: float, humidity_pct: float, vapour_pa: float, dew_c: float
) -> None:
    computed_pa = vapour_pressure_pa(temperature_c, humidity_pct)
    assert computed_pa == pytest.approx(vapour_pa, rel=STATED_PRESSURE_ERROR)
    computed_c = dew_point_c(temperature_c, humidity_pct)
    assert computed_c == pytest.approx(dew_c, abs=STATED_DEW_POINT_ERROR_C)


@given(st.floats(5.0, 40.0), st.floats(20.0, 100.0))
def test_dew_point_agrees_with_psychrolib_where_dew_and_not_frost_forms(
    temperature_c: float, humidity_pct: float
) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    independent_c = psychrolib.GetTDewPointFromRelHum(temperature_c, humidity_pct / 100.0)
    computed_c = dew_point_c(temperature_c, humidity_pct)
    if independent_c > 0.01:  # below, that program means frost
        assert computed_c == pytest.approx(independent_c, abs=STATED_DEW_POINT_ERROR_C)
    else:
        assert computed_c < 0.1


@pytest.mark.parametrize(("temperature_c", "humidity_pct", "dew_c"), WMO_DEW_POINTS)
def test_dew_point_is_that_of_wmo_and_over_water_below_zero(
    temperature_c: float, humidity_pct: float, dew_c: float
) -> None:
    assert dew_point_c(temperature_c, humidity_pct) == pytest.approx(dew_c, abs=1e-4)


@pytest.mark.parametrize(("temperature_c", "humidity_pct", "dew_c"), METPY_DEW_POINTS_BELOW_ZERO)
def test_dew_point_below_zero_agrees_with_another_formula_over_water(
    temperature_c: float, humidity_pct: float, dew_c: float
) -> None:
    computed_c = dew_point_c(temperature_c, humidity_pct)
    assert computed_c == pytest.approx(dew_c, abs=STATED_DEW_POINT_ERROR_C)


def test_a_wall_of_11_degrees_is_wet_and_one_of_12_dry_in_air_of_18_degrees_and_65_percent() -> (
    None
):
    # The dew point is 11.330 °C by PsychroLib 2.5.0.
    assert 11.0 < dew_point_c(18.0, 65.0) < 12.0


@given(airs)
def test_dew_point_turned_round_gives_the_air_back(air: tuple[float, float]) -> None:
    temperature_c, humidity_pct = air
    dew_c = dew_point_c(temperature_c, humidity_pct)
    assert temperature_at_humidity_c(dew_c, humidity_pct) == pytest.approx(temperature_c, abs=1e-6)
    assert relative_humidity_pct(temperature_c, dew_c) == pytest.approx(humidity_pct, abs=1e-6)


@given(airs)
def test_saturated_air_is_at_its_dew_point(air: tuple[float, float]) -> None:
    dew_c = dew_point_c(*air)
    assert temperature_at_humidity_c(dew_c, 100.0) == pytest.approx(dew_c, abs=1e-6)
    assert dew_point_c(dew_c, 100.0) == pytest.approx(dew_c, abs=1e-6)


def test_air_lies_between_its_banks_exactly_when_it_is_within_both_humidity_limits() -> None:
    dry_pct, damp_pct = 40.0, 80.0
    draw = random.Random(20260301)  # fixed, so that a failure can be looked at
    within = 0
    for _ in range(20_000):
        temperature_c, humidity_pct = draw.uniform(-15.0, 40.0), draw.uniform(1.0, 100.0)
        dew_c = dew_point_c(temperature_c, humidity_pct)
        wet_c = temperature_at_humidity_c(dew_c, damp_pct)
        dry_c = temperature_at_humidity_c(dew_c, dry_pct)
        between = wet_c <= temperature_c <= dry_c
        assert between is (dry_pct <= humidity_pct <= damp_pct), (temperature_c, humidity_pct)
        within += between
    assert 5_000 < within < 15_000  # both answers were really met


@pytest.mark.parametrize("temperature_c", [-90.1, 100.1, float("nan"), float("inf")])
def test_a_temperature_beyond_the_formula_is_refused(temperature_c: float) -> None:
    with pytest.raises(ValueError, match="outside"):
        saturation_vapour_pressure_pa(temperature_c)


@pytest.mark.parametrize("humidity_pct", [0.0, -1.0, 110.1, float("nan")])
def test_a_humidity_that_no_air_has_is_refused(humidity_pct: float) -> None:
    with pytest.raises(ValueError, match="not above 0"):
        dew_point_c(20.0, humidity_pct)
    with pytest.raises(ValueError, match="not above 0"):
        temperature_at_humidity_c(10.0, humidity_pct)


def test_air_drier_than_the_formula_can_turn_round_is_refused() -> None:
    with pytest.raises(ValueError, match="no air is saturated"):
        temperature_at_humidity_c(60.0, 1e-6)
