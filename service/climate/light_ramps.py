"""How long lamps take from dark to full, and back. Pure.

They are full once the light rises no more: when nothing in ``STEADY`` is brighter than what was
reached by more than ``RISE``. Dimming is the same, seen from its end.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from service.climate.nights import Measured, usable

STEADY = timedelta(minutes=10)
RISE = 1.06
"""More than the noise of a light sensor, less than a step of a dimmer in fifteen steps."""

_LONGEST = timedelta(hours=4)


def brightening(readings: Sequence[Measured], on_at: datetime) -> timedelta | None:
    """From the first light to full light; None where it was not seen to become steady.

    Args:
        readings: of one light sensor [lx], oldest first.
        on_at: the first reading of light.
    """
    first = bisect_left(readings, on_at, key=_measured_at)
    return _settling(usable(readings[first:]), on_at)


def dimming(readings: Sequence[Measured], off_at: datetime) -> timedelta | None:
    """From full light to the first reading of dark; None where it was not seen to be steady."""
    end = bisect_left(readings, off_at, key=_measured_at)
    return _settling(usable(reversed(readings[max(0, end - _MOST) : end])), off_at)


_MOST = 20_000
"""So many readings, at most, are looked at before the lamps go off."""


def _settling(readings: Iterable[Measured], edge: datetime) -> timedelta | None:
    level, reached = 0.0, edge
    for reading in readings:
        if abs(reading.measured_at - edge) > _LONGEST:
            return None
        if reading.value > RISE * level:
            level, reached = reading.value, reading.measured_at
        elif abs(reading.measured_at - reached) >= STEADY:
            return abs(reached - edge)
    return None


def _measured_at(reading: Measured) -> datetime:
    return reading.measured_at
