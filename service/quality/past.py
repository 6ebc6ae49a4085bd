"""What a series was like in the last hours and days: its own climate. Pure.

Kept by whole hours, so that a reading costs nothing and a fortnight fills a few lines.
"""

from collections.abc import Iterable
from math import inf
from typing import NamedTuple

from service.quality.terms import (
    DAY_S,
    DULL_HOURS,
    HOUR_S,
    LEAST_LEVEL_HOURS,
    LEAST_USUAL_DAYS,
    USUAL_DAYS,
)

_HOURS_A_DAY = int(DAY_S / HOUR_S)


class Hour(NamedTuple):
    """Of readings that were believed. ``number`` counts whole hours since 1970, UTC."""

    number: int
    low: float
    high: float
    mean: float


class Day(NamedTuple):
    """The hourly means of one day: lowest, highest, sum and how many."""

    number: int
    low: float
    high: float
    total: float
    hours: int


class Past(NamedTuple):
    """``recent`` are the last hours without a gap; ``days`` the last fortnight, oldest first.

    ``low``, ``high`` and ``level`` (the mean) are those of the days, None where too little is
    known to compare with. ``spread`` is the range of the last twelve hours, without end where
    there are fewer.
    """

    recent: tuple[Hour, ...] = ()
    days: tuple[Day, ...] = ()
    low: float | None = None
    high: float | None = None
    level: float | None = None
    spread: float = inf


NOTHING = Past()


def after_hour(past: Past, hour: Hour) -> Past:
    """The past with one more hour, newer than all that it holds."""
    going_on = bool(past.recent) and hour.number == past.recent[-1].number + 1
    recent = (*past.recent[-(DULL_HOURS - 1) :], hour) if going_on else (hour,)
    days = _with(past.days, hour)
    return Past(recent, days, *_bounds(days), _level(days), _spread(recent))


def with_days(past: Past, hourly: Iterable[tuple[int, float]]) -> Past:
    """The past with other days: number and mean of each of their hours, oldest first."""
    days: tuple[Day, ...] = ()
    for number, mean in hourly:
        days = _with(days, Hour(number, mean, mean, mean))
    return Past(past.recent, days, *_bounds(days), _level(days), past.spread)


def _with(days: tuple[Day, ...], hour: Hour) -> tuple[Day, ...]:
    number, mean = hour.number // _HOURS_A_DAY, hour.mean
    if days and days[-1].number == number:
        last = days[-1]
        last = Day(
            number, min(last.low, mean), max(last.high, mean), last.total + mean, last.hours + 1
        )
        return (*days[:-1], last)
    kept = [day for day in days if number - day.number < USUAL_DAYS]
    return (*kept, Day(number, mean, mean, mean, 1))


def _bounds(days: tuple[Day, ...]) -> tuple[float | None, float | None]:
    """Of whole days gone by: the present one must not make itself usual."""
    gone = days[:-1]
    if len(gone) < LEAST_USUAL_DAYS:
        return None, None
    return min(day.low for day in gone), max(day.high for day in gone)


def _spread(recent: tuple[Hour, ...]) -> float:
    if len(recent) < DULL_HOURS:
        return inf
    return max(hour.high for hour in recent) - min(hour.low for hour in recent)


def _level(days: tuple[Day, ...]) -> float | None:
    hours = sum(day.hours for day in days)
    return sum(day.total for day in days) / hours if hours >= LEAST_LEVEL_HOURS else None
