"""Small words that the texts of these rules share."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta, tzinfo

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)


def at_time(at: datetime, zone: tzinfo) -> str:
    """``14 March, 8:10``, by the shed's clock."""
    local = at.astimezone(zone)
    return f"{local.day} {local:%B}, {local.hour}:{local:%M}"


def on_day(at: datetime, zone: tzinfo) -> str:
    """``14 March``, by the shed's calendar."""
    local = at.astimezone(zone)
    return f"{local.day} {local:%B}"


def listed(told: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    if len(told) < 2:
        return "".join(told)
    return f"{', '.join(told[:-1])} and {told[-1]}"


def all_of(noun: str, words: Iterable[str]) -> str:
    """``egg 2`` and ``egg 4`` become ``eggs 2 and 4``; the noun stands before each."""
    told = [one.removeprefix(f"{noun} ") for one in words]
    return f"{noun}{'' if len(told) == 1 else 's'} {listed(told)}"


def days_told(days: float) -> str:
    """``1 day``, ``14 days``, ``2.5 days``."""
    return f"{days:g} day{'' if days == 1 else 's'}"
