"""Air over ice: saturation, the frost point, and relative humidity as those tell it who mean ice.

Temperatures in °C, pressures in Pa. Humidity sensors, and this service, tell relative humidity
over liquid water below zero too. Tables and programs of heating engineers mean ice there:
convert before comparing.

Source: WMO-No. 8, annex 4.B, the Magnus form over ice, e_i = 6.112 exp(22.46 t / (272.62 + t))
hPa for -65 to 0 °C, without the small pressure factor. Within 0.05 % of IAPWS's equation for
sublimation from -20 to 0 °C. Pure.
"""

import math

from service.climate.moist_air import saturation_vapour_pressure_pa, vapour_pressure_pa

ICE_C = (-90.0, 0.0)
"""Where there is ice; below -65 °C the stated error is not promised."""

_E0_PA = 611.2
_A = 22.46
_B_C = 272.62


def saturation_over_ice_pa(temperature_c: float) -> float:
    """Vapour pressure of air saturated over ice [Pa].

    Raises:
        ValueError: the temperature is outside ICE_C, or no number.
    """
    low, high = ICE_C
    if not low <= temperature_c <= high:
        raise ValueError(f"{temperature_c} °C is outside {low} to {high} °C")
    return _E0_PA * math.exp(_A * temperature_c / (_B_C + temperature_c))


def frost_point_c(temperature_c: float, relative_humidity_pct: float) -> float | None:
    """To what this air must cool until frost forms [°C]; None where dew does before.

    It lies above the dew point: frost comes first on what is below zero.

    Args:
        temperature_c: of the air [°C].
        relative_humidity_pct: over liquid water [%].

    Raises:
        ValueError: as ``vapour_pressure_pa``.
    """
    vapour_pa = vapour_pressure_pa(temperature_c, relative_humidity_pct)
    if vapour_pa > _E0_PA:
        return None
    exponent = math.log(vapour_pa / _E0_PA)
    return _B_C * exponent / (_A - exponent)


def over_ice_pct(temperature_c: float, relative_humidity_pct: float) -> float:
    """Relative humidity over ice [%] of air whose humidity over water is told; not capped.

    Raises:
        ValueError: the temperature is outside ICE_C, or no number.
    """
    return relative_humidity_pct * _water_to_ice(temperature_c)


def over_water_pct(temperature_c: float, over_ice_pct: float) -> float:
    """The other way round.

    Raises:
        ValueError: the temperature is outside ICE_C, or no number.
    """
    return over_ice_pct / _water_to_ice(temperature_c)


def _water_to_ice(temperature_c: float) -> float:
    over_ice_pa = saturation_over_ice_pa(temperature_c)
    return saturation_vapour_pressure_pa(temperature_c) / over_ice_pa
