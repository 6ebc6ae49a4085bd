"""Moist air: vapour pressure, dew point, and back again.

Temperatures in °C, pressures in Pa, relative humidity in % over liquid water, below zero
too: that is what humidity sensors report and what meteorology means by the word.

Source: WMO-No. 8, Guide to Instruments and Methods of Observation, annex 4.B, the Magnus
form over water, e_w = 6.112 exp(17.62 t / (243.12 + t)) hPa for -45 to 60 °C, without the
small pressure factor (it cancels in a dew point). One formula serves forward and back, so
a dew point turned round gives the air that it came from.

Error against IAPWS-95: at most 0.35 % in pressure and 0.05 °C in a dew point, from 0 to
40 °C. Pure.
"""

import math

ACCEPTED_C = (-90.0, 100.0)
"""Beyond this a temperature is refused; outside -45 to 60 °C the stated error is not promised."""

HIGHEST_HUMIDITY_PCT = 110.0
"""Sensors that have been wet tell a little over 100 %: the dew point is then above the air."""

_E0_PA = 611.2
_A = 17.62
_B_C = 243.12


def saturation_vapour_pressure_pa(temperature_c: float) -> float:
    """Vapour pressure of air saturated over liquid water [Pa].

    Raises:
        ValueError: the temperature is outside ACCEPTED_C, or no number.
    """
    low, high = ACCEPTED_C
    if not low <= temperature_c <= high:
        raise ValueError(f"{temperature_c} °C is outside {low} to {high} °C")
    return _E0_PA * math.exp(_A * temperature_c / (_B_C + temperature_c))


def vapour_pressure_pa(temperature_c: float, relative_humidity_pct: float) -> float:
    """Pressure of the vapour in this air [Pa].

    Raises:
        ValueError: the temperature is outside ACCEPTED_C, the humidity is not above 0 and at
            most HIGHEST_HUMIDITY_PCT, or one is no number.
    """
    _refuse_humidity(relative_humidity_pct)
    return saturation_vapour_pressure_pa(temperature_c) * relative_humidity_pct / 100.0


def dew_point_c(temperature_c: float, relative_humidity_pct: float) -> float:
    """To what this air must cool until it is saturated over water [°C].

    Raises:
        ValueError: as ``vapour_pressure_pa``. Air of 0 % has no dew point.
    """
    return dew_point_of_vapour_c(vapour_pressure_pa(temperature_c, relative_humidity_pct))


def dew_point_of_vapour_c(vapour_pa: float) -> float:
    """The temperature at which air of this vapour pressure [Pa], above 0, is saturated [°C].

    Raises:
        ValueError: the pressure is not above 0, or no air is saturated at it.
    """
    return _temperature_saturated_at_c(vapour_pa)


def temperature_at_humidity_c(dew_point_c: float, relative_humidity_pct: float) -> float:
    """The temperature at which air of this dew point has this relative humidity [°C].

    Raises:
        ValueError: the dew point is outside ACCEPTED_C, the humidity is not above 0 and at
            most HIGHEST_HUMIDITY_PCT, one is no number, or no air can be so dry.
    """
    _refuse_humidity(relative_humidity_pct)
    saturation_pa = saturation_vapour_pressure_pa(dew_point_c) * 100.0 / relative_humidity_pct
    return _temperature_saturated_at_c(saturation_pa)


def relative_humidity_pct(temperature_c: float, dew_point_c: float) -> float:
    """Relative humidity of air of this dew point at this temperature [%]; not capped at 100.

    Raises:
        ValueError: a temperature is outside ACCEPTED_C, or no number.
    """
    vapour_pa = saturation_vapour_pressure_pa(dew_point_c)
    return 100.0 * vapour_pa / saturation_vapour_pressure_pa(temperature_c)


def _temperature_saturated_at_c(pressure_pa: float) -> float:
    """The formula turned round."""
    exponent = math.log(pressure_pa / _E0_PA)
    if exponent >= _A:
        raise ValueError(f"no air is saturated at {pressure_pa} Pa by this formula")
    return _B_C * exponent / (_A - exponent)


def _refuse_humidity(relative_humidity_pct: float) -> None:
    if not 0.0 < relative_humidity_pct <= HIGHEST_HUMIDITY_PCT:
        raise ValueError(
            f"{relative_humidity_pct} % is not above 0 and at most {HIGHEST_HUMIDITY_PCT} %"
        )
