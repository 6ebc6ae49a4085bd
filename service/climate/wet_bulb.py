"""The temperature of something wet in moving air. Pure.

Source: ASHRAE Handbook - Fundamentals (2017), chapter 1, equations 33 (a wick of water) and 35
(of ice), numbers from memory; saturation as in ``moist_air`` and ``frost``. Within 0.02 °C of
PsychroLib, which uses the same equations with another saturation.
"""

from service.climate.frost import saturation_over_ice_pa
from service.climate.moist_air import saturation_vapour_pressure_pa, vapour_pressure_pa

STANDARD_PRESSURE_PA = 101_325.0
LEAST_PRESSURE_PA = 50_000.0
"""Nobody keeps birds higher than 5,500 m."""

_CLOSE_ENOUGH_C = 1e-4
_VAPOUR_TO_AIR = 0.621945
_DEEPEST_K = 60.0


def wet_bulb_c(
    temperature_c: float,
    relative_humidity_pct: float,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> float:
    """The wet bulb of this air [°C]; ice on it where it is below zero.

    Args:
        temperature_c: of the air [°C], from -30 to 60.
        relative_humidity_pct: over liquid water [%], above 0 to 110; above 100 the air itself
            is told.
        pressure_pa: of the air, at least LEAST_PRESSURE_PA.

    Raises:
        ValueError: an argument is outside its range, or no number.
    """
    if not -30.0 <= temperature_c <= 60.0:
        raise ValueError(f"{temperature_c} °C is outside -30 to 60 °C")
    if not pressure_pa >= LEAST_PRESSURE_PA:
        raise ValueError(f"{pressure_pa} Pa is not at least {LEAST_PRESSURE_PA} Pa")
    vapour_pa = vapour_pressure_pa(temperature_c, relative_humidity_pct)
    ratio = _mixing_ratio(vapour_pa, pressure_pa)
    low, high = max(-90.0, temperature_c - _DEEPEST_K), temperature_c
    # Around zero there may be a wet bulb of water and one of ice: the wick is wet, then.
    if temperature_c > 0.0 and _ratio_of_wick(temperature_c, 0.0, pressure_pa) <= ratio:
        low = 0.0
    while high - low > _CLOSE_ENOUGH_C:
        middle = (low + high) / 2
        if _ratio_of_wick(temperature_c, middle, pressure_pa) > ratio:
            high = middle
        else:
            low = middle
    return (low + high) / 2


def _ratio_of_wick(air_c: float, wick_c: float, pressure_pa: float) -> float:
    """How much water air of ``air_c`` holds that has a wet bulb of ``wick_c`` [kg/kg]."""
    if wick_c >= 0.0:
        full = _mixing_ratio(saturation_vapour_pressure_pa(wick_c), pressure_pa)
        given = (2501.0 - 2.326 * wick_c) * full - 1.006 * (air_c - wick_c)
        return given / (2501.0 + 1.86 * air_c - 4.186 * wick_c)
    full = _mixing_ratio(saturation_over_ice_pa(wick_c), pressure_pa)
    given = (2830.0 - 0.24 * wick_c) * full - 1.006 * (air_c - wick_c)
    return given / (2830.0 + 1.86 * air_c - 2.1 * wick_c)


def _mixing_ratio(vapour_pa: float, pressure_pa: float) -> float:
    return _VAPOUR_TO_AIR * vapour_pa / (pressure_pa - vapour_pa)
