"""What a calibration does to a value: a straight line, from an instant on. Pure.

The past is never changed: a reading that was measured before ``since`` stays as it was
stored, and every corrected reading keeps its raw value beside it.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from devices.reading import Quantity, Reading
from service.quality.judge import believed_time


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """``slope`` x raw + ``offset``, in the quantity's own unit, from ``since`` on.

    It holds until a later one of the same device and quantity begins.
    """

    device: str
    quantity: Quantity
    since: datetime
    slope: float
    offset: float

    def applied_to(self, raw: float) -> float:
        """The corrected value of ``raw``."""
        return self.slope * raw + self.offset

    def raw_of(self, corrected: float) -> float:
        """The inverse: the raw value that becomes ``corrected``."""
        return (corrected - self.offset) / self.slope


class Corrections:
    """All corrections of a shed, each in force from its ``since`` to that of the next."""

    def __init__(self, corrections: Iterable[Correction] = ()) -> None:
        self._by_series: dict[tuple[str, Quantity], list[Correction]] = defaultdict(list)
        # Sorted by since; of two with one instant the one that was made later holds.
        for one in sorted(corrections, key=lambda one: one.since):
            self._by_series[one.device, one.quantity].append(one)

    def in_force(self, device: str, quantity: Quantity, at: datetime) -> Correction | None:
        """The correction of that instant; None before the first."""
        series = self._by_series.get((device, quantity))
        if not series:
            return None
        found = bisect_right(series, at, key=lambda one: one.since)
        return series[found - 1] if found else None

    def applied_to(self, reading: Reading) -> Reading:
        """The reading with its value corrected and the raw one beside it.

        The time that counts is when it was measured, or its arrival where the sender's time
        is not believed. What comes out may lie outside what can be (102 % humidity): it is
        judged as it is, so that nobody takes a sensor at its end for one that measures.
        """
        if (reading.device, reading.quantity) not in self._by_series:
            return reading
        one = self.in_force(reading.device, reading.quantity, believed_time(reading))
        if one is None:
            return reading
        return replace(reading, value=one.applied_to(reading.value), raw=reading.value)
