"""Water in the air against values that another program computed."""

import pytest

from service.climate.vapour import absolute_humidity_g_m3, vapour_pressure_deficit_pa
from tests.service.climate.psychrolib_rows import ROWS, Row

# CoolProp 8.0.0, real gas, with the enhancement factor that an ideal gas lacks: °C, %, g/m³.
COOLPROP = [
    (5.0, 85.0, 5.80435),
    (10.0, 70.0, 6.60893),
    (20.0, 50.0, 8.68442),
    (30.0, 80.0, 24.3995),
]

FORMULA_ERROR = 0.0035  # the one that ``moist_air`` states for its pressures
BETWEEN_METHODS = 0.0085  # the factor is 0.4 to 0.5 % (ASHRAE), and the formula's error beside it


@pytest.mark.parametrize("row", ROWS)
def test_absolute_humidity_agrees_with_psychrolib(row: Row) -> None:
    told = absolute_humidity_g_m3(row.temperature_c, row.over_water_pct)
    assert told == pytest.approx(row.absolute_g_m3, rel=FORMULA_ERROR)


@pytest.mark.parametrize(("temperature_c", "humidity_pct", "expected"), COOLPROP)
def test_absolute_humidity_is_near_that_of_a_real_gas(
    temperature_c: float, humidity_pct: float, expected: float
) -> None:
    told = absolute_humidity_g_m3(temperature_c, humidity_pct)
    assert told == pytest.approx(expected, rel=BETWEEN_METHODS)


@pytest.mark.parametrize("row", [row for row in ROWS if row.temperature_c > 0.0])
def test_the_deficit_is_what_is_short_of_saturation(row: Row) -> None:
    told = vapour_pressure_deficit_pa(row.temperature_c, row.humidity_pct)
    assert told == pytest.approx(row.saturation_pa - row.vapour_pa, rel=FORMULA_ERROR)


def test_the_deficit_is_below_nothing_where_a_wet_sensor_tells_more_than_saturation() -> None:
    assert vapour_pressure_deficit_pa(10.0, 102.0) < 0.0
