"""Which sensors should have been heard by now and were not. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol


class HeardLike(Protocol):
    """A sensor was last heard at ``at`` (or is waited for since then) until ``deadline``."""

    @property
    def device(self) -> str: ...
    @property
    def at(self) -> datetime: ...
    @property
    def deadline(self) -> datetime: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Overdue:
    """A silent sensor: overdue ``since`` its deadline, silent for ``silent_for`` by now."""

    device: str
    since: datetime
    silent_for: timedelta


def overdue(heard: Iterable[HeardLike], now: datetime) -> tuple[Overdue, ...]:
    """Sensors whose deadline has come, the longest overdue first."""
    late = [
        Overdue(device=one.device, since=one.deadline, silent_for=now - one.at)
        for one in heard
        if one.deadline <= now
    ]
    return tuple(sorted(late, key=lambda one: (one.since, one.device)))


def next_overdue_at(heard: Iterable[HeardLike], now: datetime) -> datetime | None:
    """When the next sensor would become overdue without a word; None where none will."""
    return min((one.deadline for one in heard if one.deadline > now), default=None)
