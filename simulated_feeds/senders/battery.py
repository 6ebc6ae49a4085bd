"""What is left in a sender's battery, and what a dying one does to its values. Pure."""

from collections.abc import Sequence

import numpy as np

from simulated_feeds.day import Minutes
from simulated_feeds.senders.parameters import BatteryParameters
from simulated_feeds.senders.spans import DAY_MS, Instants, Span

_DEAD_AFTER = 0.9
"""The share of a sagging battery's time after which it is empty: then there is silence."""


def dead_span(sag: Span) -> Span:
    """When a battery that sags in ``sag`` is empty, until the keeper changes it."""
    since, until = sag
    return since + int(_DEAD_AFTER * (until - since)), until


class Battery:
    """One sender's, full when it began."""

    def __init__(self, parameters: BatteryParameters, born_ms: int, sags: Sequence[Span]) -> None:
        self._parameters = parameters
        self._sags = sorted(sags)
        self._fresh = np.array(sorted([born_ms, *(until for _, until in self._sags)]))

    def percent(self, at: Instants) -> Minutes:
        """How full it is [%]."""
        found = self._by_age(at)
        for since, until in self._sags:
            begun = float(self._by_age(np.array([since]))[0])
            sagging = (at >= since) & (at < until)
            found[sagging] = begun * (1.0 - self.sagged(at)[sagging])
        return found

    def volts(self, percent: Minutes) -> Minutes:
        """Its voltage: a straight line between empty and full."""
        is_ = self._parameters
        return is_.empty_v + (is_.full_v - is_.empty_v) * percent / 100.0

    def sagged(self, at: Instants) -> Minutes:
        """How far a sagging has come, from 0 to 1; 0 where none goes on."""
        found = np.zeros(len(at))
        for since, until in self._sags:
            share = (at - since) / (_DEAD_AFTER * (until - since))
            found = np.where((at >= since) & (at < until), np.minimum(share, 1.0), found)
        return found

    def _by_age(self, at: Instants) -> Minutes:
        is_ = self._parameters
        newest = np.maximum(np.searchsorted(self._fresh, at, side="right") - 1, 0)
        days = (at - self._fresh[newest]) / DAY_MS
        # The keeper changes it in time, so it runs down again and again.
        found: Minutes = is_.full_pct - np.mod(
            days * is_.falls_pct_a_day, is_.full_pct - is_.least_pct
        )
        return found
