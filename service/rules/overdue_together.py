"""Whether several sensors fell silent at one instant, for then one cause is behind it. Pure.

A sensor that reports each interval and stops at an instant was last heard within the interval
before it. So each silent sensor allows a span of instants at which it can have stopped, and
those that share one fell silent together. One that is late counts before it is overdue: when
the first of many is, the others are known to be of it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

AT_LEAST = 3
"""Two may be chance, or two batteries bought together. Common practice, no source."""

_JITTER = 1.5
"""Senders are some seconds early or late, and messages under way: [intervals]."""

_LATE = 1.8
"""A sensor counts once so many of its intervals passed without a word."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quiet:
    """When a sensor was last heard, and how often it reports."""

    device: str
    last: datetime
    interval: timedelta

    @property
    def stopped_by(self) -> datetime:
        """The latest instant at which it can have fallen silent."""
        return self.last + _JITTER * self.interval


def fell_silent_together(heard: Iterable[Quiet], now: datetime) -> frozenset[str]:
    """The most sensors that share an instant at which they can have fallen silent.

    Empty where they are fewer than three. Sensors that were never heard must not be given.
    """
    late = [one for one in heard if now - one.last > _LATE * one.interval]
    most: frozenset[str] = frozenset()
    if len(late) < AT_LEAST:
        return most
    # The best instant is one at which somebody was last heard.
    for instant in {one.last for one in late}:
        share = [one.device for one in late if one.last <= instant <= one.stopped_by]
        if len(share) > len(most):
            most = frozenset(share)
    return most if len(most) >= AT_LEAST else frozenset()
