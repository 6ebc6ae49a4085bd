"""How an egg loses water through its shell. Pure.

A shell lets water out by its conductance times the difference of vapour pressure between the
egg, which is saturated within, and the air around it.

Sources: Ar, A., Paganelli, C. V., Reeves, R. B., Greene, D. G. and Rahn, H. (1974), The avian
egg: water vapor conductance, shell thickness, and functional pore area, Condor 76, 153-158 (the
coefficients 0.432 and 0.780 from memory); Hoyt, D. F. (1979), Auk 96, 73-77 (0.548 for the
fresh mass from memory).
"""

import numpy as np

from simulated_feeds.birds.intervals import Intervals
from simulated_feeds.day import MINUTES, BoxAir, Minutes

PA_PER_TORR = 101325 / 760
_MINUTES_A_DAY = 1440


def fresh_mass_g(length_mm: float, breadth_mm: float) -> float:
    """Of an egg just laid [g], from its length and breadth [mm]."""
    return 0.548 * (length_mm / 10) * (breadth_mm / 10) ** 2


def conductance_g_per_day_pa(mass_g: float) -> float:
    """Of an ordinary shell around a fresh mass [g], per day and pascal."""
    return float(0.432 * mass_g**0.780) / 1000 / PA_PER_TORR


def saturation_pa(temperature_c: Minutes) -> Minutes:
    """Vapour pressure of saturated air [Pa]: Tetens, as in ``moist_air``."""
    pressure: Minutes = 610.78 * np.exp(17.2693882 * temperature_c / (237.3 + temperature_c))
    return pressure


def dryness_pa_days(
    air: BoxAir, covered: Intervals, begin_s: int, egg_c: float, hen_pa: float
) -> Minutes:
    """What has drawn at an egg from the beginning of the day up to each minute [Pa days].

    One number more than the day has minutes: the last is the whole day's.

    Under the hen the egg is at ``egg_c`` and the air around it ``hen_pa`` damper than the
    box's; uncovered it is as warm as the box. It never takes water up.
    """
    under = np.zeros(MINUTES, dtype=bool)
    for since, until in covered:
        under[minute(since, begin_s) : minute(until, begin_s)] = True
    warm = float(saturation_pa(np.array([egg_c]))[0])
    inside = np.where(under, warm, saturation_pa(air.temperature_c))
    around = air.vapour_pa + under * hen_pa
    pull = np.maximum(inside - around, 0.0)
    summed: Minutes = np.zeros(MINUTES + 1)
    np.cumsum(pull / _MINUTES_A_DAY, out=summed[1:])
    return summed


def minute(instant_s: int, begin_s: int) -> int:
    """The first minute of the day at or after an instant, 0 to 1440."""
    return min(MINUTES, max(0, -((begin_s - instant_s) // 60)))
