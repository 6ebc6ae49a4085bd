"""A breach that is learned of late: told as the present only once it is known to be so. Pure.

When a sensor or the broker hands over what it had kept, hours of the past go by within seconds,
and a breach in them may be long over. So it is held back while the past is catching up: until
a reading of the present tells, or none of it moves on for five minutes. A sender whose clock
is always behind is held back for those five minutes once, and no danger longer.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

HOLD = timedelta(minutes=5)
_MOVES_ON = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class HeldBack:
    """``since`` is in the time of arrivals; the newest reading was ``lag`` old when it came."""

    since: datetime
    lag: timedelta

    @property
    def until(self) -> datetime:
        """When it is told, should nothing more be heard."""
        return self.since + HOLD

    def after(self, measured_at: datetime, arrived_at: datetime) -> "HeldBack":
        """After one more reading: the past that catches up is waited for."""
        lag = arrived_at - measured_at
        return HeldBack(arrived_at, lag) if lag <= self.lag - _MOVES_ON else self


def is_late(at: datetime, learned_at: datetime, max_gap: timedelta) -> bool:
    """Whether what was the case ``at`` is the past, ``learned_at`` by what came then.

    A sensor may be silent for ``max_gap``, and so tell things that late as a matter of course.
    """
    return learned_at - at > max_gap
