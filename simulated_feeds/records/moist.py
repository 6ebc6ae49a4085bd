"""Humidity and dew point of minute arrays, for the truth. Temperatures °C, pressures Pa. Pure.

Source: as in ``simulated_feeds/moist_air.py``, of which these are the arrays.
"""

import numpy as np

from simulated_feeds.day import Minutes

_A, _B_C, _AT_0_PA = 17.2693882, 237.3, 610.78


def saturation_pa(temperature_c: Minutes) -> Minutes:
    """Vapour pressure of saturated air over liquid water."""
    saturated: Minutes = _AT_0_PA * np.exp(_A * temperature_c / (_B_C + temperature_c))
    return saturated


def humidity_pct(temperature_c: Minutes, vapour_pa: Minutes) -> Minutes:
    """Relative humidity, 0 to 100."""
    return np.clip(100.0 * vapour_pa / saturation_pa(temperature_c), 0.0, 100.0)


def dew_point_c(vapour_pa: Minutes) -> Minutes:
    """The temperature at which air with that vapour pressure (above 0) is saturated."""
    share = np.log(vapour_pa / _AT_0_PA)
    dew: Minutes = _B_C * share / (_A - share)
    return dew
