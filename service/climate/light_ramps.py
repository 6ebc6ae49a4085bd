"""How long lamps take from dark to full, and back. Pure.

They are full once the light rises no more: when nothing in ``STEADY`` is brighter than what was
reached by more than ``RISE``. Dimming is the same, seen from its end.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import islice

from service.climate.samples import Sample, ms_in, ms_of

STEADY = timedelta(minutes=10)
RISE = 1.06
"""More than the noise of a light sensor, less than a step of a dimmer in fifteen steps."""

_STEADY_MS = ms_in(STEADY)
_LONGEST_MS = ms_in(timedelta(hours=4))


def brightening(samples: Sequence[Sample], on_at: datetime) -> timedelta | None:
    """From the first light to full light; None where it was not seen to become steady.

    Args:
        samples: of one light sensor [lx], oldest first.
        on_at: the first of light.
    """
    edge = ms_of(on_at)
    return _settling(islice(samples, _first_from(samples, edge), None), edge)


def dimming(samples: Sequence[Sample], off_at: datetime) -> timedelta | None:
    """From full light to the first sample of dark; None where it was not seen to be steady."""
    edge = ms_of(off_at)
    before = range(_first_from(samples, edge) - 1, -1, -1)
    return _settling((samples[at] for at in before), edge)


def _settling(samples: Iterable[Sample], edge: int) -> timedelta | None:
    level, reached = 0.0, edge
    for at, lux in samples:
        if abs(at - edge) > _LONGEST_MS:
            return None
        if lux > RISE * level:
            level, reached = lux, at
        elif abs(at - reached) >= _STEADY_MS:
            return timedelta(milliseconds=abs(reached - edge))
    return None


def _first_from(samples: Sequence[Sample], at: int) -> int:
    """The index of the first sample that is not before a time."""
    return bisect_left(samples, at, key=lambda sample: sample[0])
