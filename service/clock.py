"""What time it is. Every process is given its clock; nobody else asks the system.

``now`` is the shed's time in UTC: the real one, a fixed one in tests, or a paced one for a
demonstration in which watch, pages and feed share an origin and a speed. Commits,
keep-alives and watchdogs run in real time and use ``time.monotonic``.
"""

import time
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol


class Clock(Protocol):
    """Tells the shed's time."""

    def now(self) -> datetime:
        """The time in the shed, UTC."""
        ...


class SystemClock:
    """Real time."""

    def now(self) -> datetime:
        return datetime.now(UTC)


class FixedClock:
    """Stands still until it is set; for tests and for replays."""

    def __init__(self, at: datetime) -> None:
        self._at = at.astimezone(UTC)

    def now(self) -> datetime:
        return self._at

    def set(self, at: datetime) -> None:
        """Move to ``at``, also backwards."""
        self._at = at.astimezone(UTC)

    def advance(self, by: timedelta) -> None:
        """Move by ``by``."""
        self._at += by


@dataclass(frozen=True, slots=True)
class PacedClock:
    """``speed`` seconds in the shed for one real second, from ``origin`` on.

    Processes on one machine share it: ``started_monotonic`` is read from the system's
    monotonic clock, which is the same for all of them, so a jump of the real clock moves
    nothing here. ``str()`` gives the text that ``parse`` reads.
    """

    origin: datetime
    started_monotonic: float
    speed: float

    @classmethod
    def starting(cls, origin: datetime, speed: float) -> "PacedClock":
        """A clock that shows ``origin`` now."""
        return cls(origin.astimezone(UTC), time.monotonic(), speed)

    @classmethod
    def parse(cls, text: str) -> "PacedClock":
        """Read what ``str()`` wrote.

        Raises:
            ValueError: the text has not the three parts ``origin,started,speed``.
        """
        origin, started, speed = text.split(",")
        return cls(datetime.fromisoformat(origin).astimezone(UTC), float(started), float(speed))

    def now(self) -> datetime:
        elapsed_s = time.monotonic() - self.started_monotonic
        return self.origin + timedelta(seconds=elapsed_s * self.speed)

    def __str__(self) -> str:
        return f"{self.origin.isoformat()},{self.started_monotonic!r},{self.speed!r}"


def speed_of(clock: Clock) -> float:
    """How many seconds pass in the shed for one real second."""
    return clock.speed if isinstance(clock, PacedClock) else 1.0
