"""Swings of the weather that remember: bell-shaped, with a memory that fades exponentially.

A swing is a weighted sum of the draws of the hours before, heavier the later they are. So its
value at any hour depends on that hour alone, not on where the reckoning began. Source of the
shape: Uhlenbeck, G. E. and Ornstein, L. S. (1930), On the theory of the Brownian motion, Phys.
Rev. 36, 823-841 (from memory), cut off after five times its memory.
"""

from collections import OrderedDict
from datetime import UTC, datetime, timedelta

import numpy as np

from simulated_feeds.chance import draws
from simulated_feeds.outdoors.sunshine import Values

_DAY_H = 24
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MEMORIES = 5.0
_KEPT_DAYS = 64


class Swing:
    """One stream of chance with mean 0 and standard deviation 1."""

    def __init__(self, seed: int, name: str, memory_h: float) -> None:
        self._seed = seed
        self._name = name
        self._fading = np.exp(-np.arange(int(_MEMORIES * memory_h) + 1) / memory_h)
        self._fading /= np.sqrt(np.sum(self._fading**2))
        self._days: OrderedDict[int, Values] = OrderedDict()

    def at_hours(self, first: int, count: int) -> Values:
        """``count`` values, one an hour, from the hour ``first`` since 1970-01-01 UTC on."""
        before = first - (len(self._fading) - 1)
        first_day, last_day = before // _DAY_H, (first + count - 1) // _DAY_H
        drawn = np.concatenate([self._day(day) for day in range(first_day, last_day + 1)])
        offset = before - first_day * _DAY_H
        needed = drawn[offset : offset + len(self._fading) - 1 + count]
        return np.convolve(needed, self._fading, mode="valid")

    def _day(self, day: int) -> Values:
        found = self._days.get(day)
        if found is None:
            at = _EPOCH + timedelta(days=day)
            found = draws(self._seed, self._name, at).standard_normal(_DAY_H)
            self._days[day] = found
            if len(self._days) > _KEPT_DAYS:
                self._days.popitem(last=False)
        return found
