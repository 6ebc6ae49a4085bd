"""What is wrong with the values of one sender: stuck, 85 °C, saturated."""

from collections.abc import Sequence

import numpy as np

from simulated_feeds.happening import Happening, What
from simulated_feeds.senders.feeds import HUMIDITY, TEMPERATURE
from simulated_feeds.senders.senses import Told
from simulated_feeds.senders.spans import Instants, inside, spans_of

POWER_ON_C = 85.0
"""What the register of a common digital thermometer holds before it has measured (data sheet)."""


class ValueFaults:
    """Of one sender, day after day."""

    def __init__(self, device: str, happenings: Sequence[Happening]) -> None:
        self._reads_85 = spans_of(happenings, What.READS_85, device)
        self._saturated = spans_of(happenings, What.SATURATED, device)
        self._stuck = sorted(spans_of(happenings, What.STUCK, device))
        self._shown: dict[str, float] = {}

    def applied(self, told: Told, at: Instants) -> Told:
        """The values of a day's samples as they come out."""
        found = dict(told)
        if TEMPERATURE in found:
            hot = inside(at, self._reads_85)
            found[TEMPERATURE] = np.where(hot, POWER_ON_C, found[TEMPERATURE])
        if HUMIDITY in found:
            wet = inside(at, self._saturated)
            found[HUMIDITY] = np.where(wet, 100.0, found[HUMIDITY])
        for since, until in self._stuck:
            first, last = np.searchsorted(at, (since, until))
            for measure, values in found.items():
                if first < last:
                    kept = values[first - 1] if first else self._shown.get(measure, values[0])
                    found[measure] = values.copy()
                    found[measure][first:last] = kept
        self._shown = {measure: float(values[-1]) for measure, values in found.items()}
        return found
