"""One alarm, from being raised to being over."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from service.rules.limit import Priority


class AlarmState(StrEnum):
    """The states of IEC 62682 that this version has."""

    NORMAL = "normal"
    UNACKNOWLEDGED = "unacknowledged"
    ACKNOWLEDGED = "acknowledged"
    RETURNED_UNACKNOWLEDGED = "returned to normal unacknowledged"

    @property
    def active(self) -> bool:
        """Whether the condition behind the alarm is (as far as we know) true."""
        return self in (AlarmState.UNACKNOWLEDGED, AlarmState.ACKNOWLEDGED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Alarm:
    """What one rule said of one place, once.

    ``rule`` is a limit's id, or ``overdue:<device>`` with seconds as ``value`` and
    ``setpoint``, or ``twins:<device>`` with the number of devices as both, or
    ``clock:<device>`` with the seconds that its clock is ahead. Times are event
    times, UTC. ``acknowledged_by`` is free text.
    """

    id: str
    rule: str
    place: str
    priority: Priority
    state: AlarmState
    raised_at: datetime
    value: float
    setpoint: float
    text: str
    cleared_at: datetime | None = None
    acknowledged_at: datetime | None = None
    acknowledged_by: str | None = None
