"""Readings as plain pairs, for sums over weeks of them: a time and a value.

A type with names for each of a hundred thousand readings takes longer to make than to sum up.
Pure.
"""

import math
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from typing import Protocol

Sample = tuple[int, float]
"""Milliseconds since 1970 UTC, and a value: usable, finite, in the unit of its quantity."""

FlaggedSample = tuple[int, float, int]
"""The same with its quality flag, whatever it is."""

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MS = timedelta(milliseconds=1)
_USELESS_FLAGS = (4, 9)
"""Fail and missing, as in the IOOS QARTOD manuals."""


class Measured(Protocol):
    """A value with its time and quality flag, as a store keeps it."""

    @property
    def measured_at(self) -> datetime: ...
    @property
    def value(self) -> float: ...
    @property
    def flag(self) -> int: ...


def is_usable(reading: Measured) -> bool:
    """Whether a reading counts: all do but those flagged fail or missing."""
    return reading.flag not in _USELESS_FLAGS


def samples(readings: Iterable[Measured]) -> list[Sample]:
    """Those that count, as pairs, in their order."""
    return [
        (ms_of(reading.measured_at), reading.value)
        for reading in readings
        if is_usable(reading) and math.isfinite(reading.value)
    ]


def ms_of(at: datetime) -> int:
    """The first whole millisecond that is not before ``at``."""
    return -((_EPOCH - at) // _MS)


def ms_in(span: timedelta) -> int:
    """A duration in whole milliseconds."""
    return span // _MS


def at_ms(ms: int) -> datetime:
    """The instant of a sample, in UTC."""
    return _EPOCH + timedelta(milliseconds=ms)
