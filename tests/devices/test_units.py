"""Units against their definitions.

Fixed points: ice melts at 0 °C = 32 °F = 273.15 K, water boils at 100 °C = 212 °F, and
-40 is the same on both scales (NIST Special Publication 811, appendix B.8, for the formulas).
A standard atmosphere is 101 325 Pa = 1013.25 hPa (the same, by definition).
"""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from devices.reading import Quantity
from devices.units import UnitError, allowed_units, convert

FIXED_POINTS = [
    (32.0, "degF", Quantity.TEMPERATURE, 0.0),
    (212.0, "°F", Quantity.TEMPERATURE, 100.0),
    (-40.0, "F", Quantity.TEMPERATURE, -40.0),
    (273.15, "K", Quantity.TEMPERATURE, 0.0),
    (21.4, "Cel", Quantity.TEMPERATURE, 21.4),
    (21.4, "degC", Quantity.TEMPERATURE, 21.4),
    (21.4, "°C", Quantity.TEMPERATURE, 21.4),
    (21.4, "C", Quantity.TEMPERATURE, 21.4),
    (55.0, "%RH", Quantity.RELATIVE_HUMIDITY, 55.0),
    (55.0, "%", Quantity.RELATIVE_HUMIDITY, 55.0),
    (0.55, "/", Quantity.RELATIVE_HUMIDITY, 55.0),
    (180.0, "lx", Quantity.ILLUMINANCE, 180.0),
    (180.0, "lux", Quantity.ILLUMINANCE, 180.0),
    (0.18, "klx", Quantity.ILLUMINANCE, 180.0),
    # NIST Special Publication 811, appendix B.8: 1 lb = 0.453 592 37 kg, an ounce its 16th.
    (1.0, "lb", Quantity.MASS, 453.59237),
    (16.0, "oz", Quantity.MASS, 453.59237),
    (0.0456, "kg", Quantity.MASS, 45.6),
    (45.6, "g", Quantity.MASS, 45.6),
    (45_600.0, "mg", Quantity.MASS, 45.6),
    (1013.25, "hPa", Quantity.PRESSURE, 101_325.0),
    (1013.25, "mbar", Quantity.PRESSURE, 101_325.0),
    (101.325, "kPa", Quantity.PRESSURE, 101_325.0),
    (101_325.0, "Pa", Quantity.PRESSURE, 101_325.0),
    # The same appendix: 3.386 389 E+03 and 1.333 224 E+02 Pa, conventional.
    (1.0, "inHg", Quantity.PRESSURE, 3386.389),
    (1.0, "mmHg", Quantity.PRESSURE, 133.3224),
    (80.0, "%EL", Quantity.BATTERY, 80.0),
    (0.8, "/", Quantity.BATTERY, 80.0),
    (2980.0, "mV", Quantity.BATTERY_VOLTAGE, 2.98),
    (2.98, "V", Quantity.BATTERY_VOLTAGE, 2.98),
    (640.0, "ppm", Quantity.CO2, 640.0),
    (1.0, None, Quantity.MAINS, 1.0),
    (0.0, "/", Quantity.MAINS, 0.0),
    (0.036, "kW", Quantity.LAMP_POWER, 36.0),
    (36.0, "W", Quantity.LAMP_POWER, 36.0),
    (-71.0, "dBm", Quantity.SIGNAL, -71.0),
    # By definition: 0 dBW is one watt, which is a thousand milliwatts, 10 log10(1000) dBm.
    (-101.0, "dBW", Quantity.SIGNAL, -71.0),
]


@pytest.mark.parametrize(("value", "unit", "quantity", "expected"), FIXED_POINTS)
def test_value_is_converted(
    value: float, unit: str | None, quantity: Quantity, expected: float
) -> None:
    assert convert(value, unit, quantity) == pytest.approx(expected, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("quantity", list(Quantity))
def test_own_unit_changes_nothing(quantity: Quantity) -> None:
    assert convert(1.0, quantity.unit, quantity) == 1.0


@pytest.mark.parametrize("quantity", [one for one in Quantity if one is not Quantity.MAINS])
def test_missing_unit_is_refused(quantity: Quantity) -> None:
    with pytest.raises(UnitError, match="no unit"):
        convert(1.0, None, quantity)


@pytest.mark.parametrize("quantity", list(Quantity))
def test_strange_unit_is_refused_with_those_that_are_allowed(quantity: Quantity) -> None:
    with pytest.raises(UnitError, match=allowed_units(quantity)[0]) as refused:
        convert(1.0, "furlong", quantity)
    assert "furlong" in str(refused.value)
    assert quantity.value in str(refused.value)


@pytest.mark.parametrize(
    ("unit", "quantity"),
    [
        ("%RH", Quantity.TEMPERATURE),
        ("Cel", Quantity.RELATIVE_HUMIDITY),
        ("cel", Quantity.TEMPERATURE),
        ("Pa", Quantity.MASS),
        ("", Quantity.TEMPERATURE),
    ],
)
def test_unit_of_another_quantity_is_refused(unit: str, quantity: Quantity) -> None:
    with pytest.raises(UnitError):
        convert(1.0, unit, quantity)


@pytest.mark.parametrize("value", [55.0, 1.51, -0.2])
def test_percentage_that_calls_itself_a_ratio_is_refused(value: float) -> None:
    with pytest.raises(UnitError, match="ratio"):
        convert(value, "/", Quantity.RELATIVE_HUMIDITY)


@settings(deadline=None)
@given(st.floats(min_value=-100, max_value=200))
def test_three_scales_agree(celsius: float) -> None:
    for value, unit in ((celsius * 1.8 + 32, "degF"), (celsius + 273.15, "K")):
        assert math.isclose(convert(value, unit, Quantity.TEMPERATURE), celsius, abs_tol=1e-9)
