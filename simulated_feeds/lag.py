"""Things that follow others late, with one time constant each. Pure.

A first-order lag obeys ``tau dy/dt = x - y``. Between two known instants ``x`` is taken as a
straight line, for which the solution is exact however far apart they are.
"""

import math

import numpy as np

from simulated_feeds.day import Minutes

_NOTHING = 1e-18
_MINUTE_S = 60.0


def recursion(forcing: Minutes, keeps: float, before: float) -> Minutes:
    """``y[k] = keeps * y[k - 1] + forcing[k]``, with ``before`` as the y before the first.

    Args:
        forcing: any number of values, at least one.
        keeps: from 0 (nothing stays) to 1.
        before: the state that is carried in.
    """
    found = forcing.astype(np.float64)  # a copy
    found[0] += keeps * before
    # Each pass doubles how far back the sum reaches: 17 passes for a day of seconds.
    reach, weight = 1, keeps
    while reach < len(found) and weight > _NOTHING:
        found[reach:] += weight * found[:-reach].copy()
        reach, weight = 2 * reach, weight * weight
    return found


def steps_followed(values: Minutes, step_s: float, tau_s: float, before: float) -> Minutes:
    """What follows values that each hold for a whole step, at the end of each step."""
    keeps = _kept(step_s, tau_s)
    return recursion((1.0 - keeps) * values, keeps, before)


class Follower:
    """Follows minutes day after day; remembers where it was at the end of the day before.

    At the very beginning it is where the first minute is.
    """

    def __init__(self, tau_s: float) -> None:
        self._tau_s = tau_s
        self._last: tuple[float, float] | None = None  # what it follows, and itself

    def day(self, minutes: Minutes, at_s: Minutes) -> Minutes:
        """Where it is at some instants of a day.

        Args:
            minutes: what it follows, one value a minute.
            at_s: instants in seconds since the day's first minute, less than one minute
                after the last. What comes after that one is not known today: it is held.
        """
        if self._tau_s <= 0.0:
            return np.interp(at_s, _MINUTE_S * np.arange(len(minutes)), minutes)
        own = self._at_minutes(minutes)
        whole = np.minimum(at_s // _MINUTE_S, len(minutes) - 1).astype(np.int64)
        since_s = at_s - _MINUTE_S * whole
        slope = np.append(np.diff(minutes), 0.0)[whole] / _MINUTE_S
        behind = own[whole] - minutes[whole] + slope * self._tau_s
        now = minutes[whole] + slope * since_s
        return now - slope * self._tau_s + behind * np.exp(-since_s / self._tau_s)

    def _at_minutes(self, minutes: Minutes) -> Minutes:
        before, own = self._last or (float(minutes[0]), float(minutes[0]))
        keeps = _kept(_MINUTE_S, self._tau_s)
        part = (1.0 - keeps) * self._tau_s / _MINUTE_S
        earlier = np.concatenate(([before], minutes[:-1]))
        found = recursion((part - keeps) * earlier + (1.0 - part) * minutes, keeps, own)
        self._last = (float(minutes[-1]), float(found[-1]))
        return found


def _kept(step_s: float, tau_s: float) -> float:
    return math.exp(-step_s / tau_s) if tau_s > 0.0 else 0.0
