"""The few lines about moist air that the simulated shed needs. Pure.

Temperatures in °C, vapour pressures in hPa, humidities in % over liquid water. On purpose
not the formulas of the service: an error in those must not hide here as well.

Source: Tetens, O. (1930), Über einige meteorologische Begriffe, Z. Geophys. 6, 297-309
(coefficients 6.1078, 7.5, 237.3 from memory); within 0.5 % of IAPWS-IF97 from 0 to 35 °C.
"""

import math


def saturation_hpa(temperature_c: float) -> float:
    """Vapour pressure of saturated air [hPa]."""
    return 6.1078 * math.exp(17.2693882 * temperature_c / (237.3 + temperature_c))


def humidity_pct(temperature_c: float, vapour_hpa: float) -> float:
    """Relative humidity [%], never below 0 nor above 100."""
    return min(100.0, max(0.0, 100.0 * vapour_hpa / saturation_hpa(temperature_c)))
