"""The humidity above saturated salts against what others have published."""

import math

import pytest

from service.climate.salts import RANGE_C, Salt, humidity_above

# Greenspan (1977), J. Res. NBS 81A: values of the paper's table at 25 °C with its own
# uncertainty, from memory: (salt, % RH, ±).
TABLE_AT_25_C = [
    (Salt.SODIUM_CHLORIDE, 75.29, 0.12),
    (Salt.MAGNESIUM_CHLORIDE, 32.78, 0.16),
    (Salt.POTASSIUM_CHLORIDE, 84.34, 0.26),
]

# The same paper's fits worked out at 5 to 30 °C by a program of its own (plain arithmetic).
WORKED_OUT = {
    Salt.SODIUM_CHLORIDE: [75.65, 75.68, 75.61, 75.48, 75.30, 75.09],
    Salt.MAGNESIUM_CHLORIDE: [33.60, 33.48, 33.30, 33.07, 32.79, 32.45],
    Salt.POTASSIUM_CHLORIDE: [87.67, 86.78, 85.92, 85.11, 84.35, 83.63],
}

# A. Wexler and S. Hasegawa (1954), J. Res. NBS 53, 19-26, an older measurement: sodium
# chloride 74.9 % at 0 °C and 74.7 % at 50 °C, at most 75.6 %. Their apparatus was good to
# about half a per cent (from memory).
WEXLER_HASEGAWA_NACL = [(0.0, 74.9), (50.0, 74.7)]
OLDER_APPARATUS_PCT = 0.7


@pytest.mark.parametrize(("salt", "table_pct", "uncertainty_pct"), TABLE_AT_25_C)
def test_fit_agrees_with_the_papers_table_at_25_degrees(
    salt: Salt, table_pct: float, uncertainty_pct: float
) -> None:
    assert humidity_above(salt, 25.0) == pytest.approx(table_pct, abs=uncertainty_pct)


@pytest.mark.parametrize("salt", list(Salt))
def test_fit_gives_the_values_worked_out_elsewhere(salt: Salt) -> None:
    ours = [humidity_above(salt, float(t)) for t in range(5, 31, 5)]
    assert ours == pytest.approx(WORKED_OUT[salt], abs=0.006)


@pytest.mark.parametrize(("temperature_c", "measured_pct"), WEXLER_HASEGAWA_NACL)
def test_sodium_chloride_agrees_with_an_older_measurement(
    temperature_c: float, measured_pct: float
) -> None:
    ours = humidity_above(Salt.SODIUM_CHLORIDE, temperature_c)
    assert ours == pytest.approx(measured_pct, abs=OLDER_APPARATUS_PCT)


def test_sodium_chloride_agrees_with_the_handbooks_formula_within_its_two_per_cent() -> None:
    # CRC Handbook of Chemistry and Physics, constant humidity solutions, as quoted by others:
    # RH = 69.20 exp(25 / T), T in kelvin, for 10 to 40 °C, ± 2 %.
    for temperature_c in (10.0, 25.0, 40.0):
        handbook_pct = 69.20 * math.exp(25 / (temperature_c + 273.15))
        ours = humidity_above(Salt.SODIUM_CHLORIDE, temperature_c)
        assert ours == pytest.approx(handbook_pct, abs=2.0)


@pytest.mark.parametrize("temperature_c", [RANGE_C[0] - 0.1, RANGE_C[1] + 0.1, float("nan")])
def test_a_temperature_outside_the_fits_is_refused(temperature_c: float) -> None:
    with pytest.raises(ValueError, match="outside 0 to 50"):
        humidity_above(Salt.SODIUM_CHLORIDE, temperature_c)
