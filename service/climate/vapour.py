"""How much water is in air, and how much more it would take. Pure.

Temperatures in °C, pressures in Pa, relative humidity in % over liquid water.
"""

from service.climate.moist_air import saturation_vapour_pressure_pa, vapour_pressure_pa

GAS_CONSTANT_OF_VAPOUR = 461.52
"""J/(kg K)."""

_ZERO_K = 273.15
_G_PER_KG = 1000.0


def absolute_humidity_g_m3(temperature_c: float, relative_humidity_pct: float) -> float:
    """Grams of vapour in a cubic metre of this air.

    Raises:
        ValueError: as ``vapour_pressure_pa``.

    Source: the ideal gas law, e / (R T).
    """
    vapour_pa = vapour_pressure_pa(temperature_c, relative_humidity_pct)
    return _G_PER_KG * vapour_pa / (GAS_CONSTANT_OF_VAPOUR * (temperature_c + _ZERO_K))


def vapour_pressure_deficit_pa(temperature_c: float, relative_humidity_pct: float) -> float:
    """How far the air is from saturation [Pa], which is what dries; below 0 above 100 %.

    Raises:
        ValueError: as ``vapour_pressure_pa``.
    """
    vapour_pa = vapour_pressure_pa(temperature_c, relative_humidity_pct)
    return saturation_vapour_pressure_pa(temperature_c) - vapour_pa
