"""Moist air in minute arrays. Temperatures °C, pressures Pa, humidities % over liquid water. Pure.

On purpose not the formulas of the service: an error in those must not hide here as well.

Source: Tetens, O. (1930), Über einige meteorologische Begriffe, Z. Geophys. 6, 297-309
(coefficients 610.78 Pa, 7.5 and 237.3 from memory; 17.2693882 is 7.5 ln 10); within 0.5 % of
IAPWS-IF97 from 0 to 35 °C.
"""

import numpy as np

from simulated_feeds.day import Minutes

_A, _B_C, _AT_0_PA = 17.2693882, 237.3, 610.78


def saturation_pa(temperature_c: Minutes) -> Minutes:
    """Vapour pressure of saturated air over liquid water."""
    saturated: Minutes = _AT_0_PA * np.exp(_A * temperature_c / (_B_C + temperature_c))
    return saturated


def humidity_pct(temperature_c: Minutes, vapour_pa: Minutes) -> Minutes:
    """Relative humidity, never below 0 nor above 100."""
    return np.clip(100.0 * vapour_pa / saturation_pa(temperature_c), 0.0, 100.0)


def dew_point_c(vapour_pa: Minutes) -> Minutes:
    """The temperature at which air with that vapour pressure (above 0) is saturated."""
    share = np.log(vapour_pa / _AT_0_PA)
    dew: Minutes = _B_C * share / (_A - share)
    return dew
