"""Readings as a store would hand them out."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

PASS, SUSPECT, FAIL, MISSING = 1, 3, 4, 9


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    measured_at: datetime
    value: float
    flag: int = PASS


def every(
    step: timedelta, since: datetime, until: datetime, value: Callable[[datetime], float]
) -> list[Kept]:
    """Readings from ``since`` on, the last one before ``until``."""
    kept, at = [], since
    while at < until:
        kept.append(Kept(measured_at=at, value=value(at)))
        at += step
    return kept


def without(readings: Iterable[Kept], since: datetime, until: datetime) -> list[Kept]:
    """The sensor was silent from ``since`` to ``until``."""
    return [one for one in readings if not since <= one.measured_at < until]
