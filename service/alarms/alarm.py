"""One alarm, from being raised to being over."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from service.alarms.suppression import SuppressionKind
from service.rules.limit import Priority


class AlarmState(StrEnum):
    """The states of IEC 62682 that follow the condition and the person.

    The other three of the standard (shelved, suppressed by design, out of service) lie over
    these, for the condition is followed all the same: see ``Alarm.suppressed``.
    """

    NORMAL = "normal"
    UNACKNOWLEDGED = "unacknowledged"
    ACKNOWLEDGED = "acknowledged"
    RETURNED_UNACKNOWLEDGED = "returned to normal unacknowledged"
    LATCHED_UNACKNOWLEDGED = "latched unacknowledged"
    LATCHED_ACKNOWLEDGED = "latched acknowledged"

    @property
    def active(self) -> bool:
        """Whether the condition behind the alarm is (as far as we know) true."""
        return self in (AlarmState.UNACKNOWLEDGED, AlarmState.ACKNOWLEDGED)

    @property
    def latched(self) -> bool:
        """The condition is over, and the alarm stays until a person resets it."""
        return self in (AlarmState.LATCHED_UNACKNOWLEDGED, AlarmState.LATCHED_ACKNOWLEDGED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Alarm:
    """What one rule said of one place, once.

    ``rule`` is a limit's id, or ``overdue:<device>`` with seconds as ``value`` and
    ``setpoint``, or ``twins:<device>`` with the number of devices as both, or
    ``clock:<device>`` with the seconds that its clock is ahead, or ``overdue-together:<place>``
    and ``broker:<place>`` with the number of sensors. Times are event times, UTC.
    ``acknowledged_by`` is free text.

    ``kind`` is what it is about, for what it hides and is hidden by (``service/alarms/causes.py``):
    ``temperature low``, ``overdue``. ``because_of`` is the rule that its path says is the cause.
    ``suppressed`` lies over ``state``: nobody is told while it is set, until
    ``suppressed_until`` at the latest, and ``suppressed_why`` says why, in words.
    ``told_at`` is when a person could first see it as an alarm, None while nobody could.
    ``latching``: once over it stays until it is reset. ``re_alarm_after``: acknowledged and
    active for that long, it is unacknowledged again.
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
    kind: str = ""
    because_of: str | None = None
    latching: bool = False
    re_alarm_after: timedelta | None = None
    suppressed: SuppressionKind | None = None
    suppressed_until: datetime | None = None
    suppressed_why: str | None = None
    told_at: datetime | None = None

    @property
    def told(self) -> bool:
        """Whether it is open and speaks: nothing lies over it."""
        return self.state is not AlarmState.NORMAL and self.suppressed is None

    @property
    def told_state(self) -> str:
        """The state in the standard's words, with what lies over it."""
        if self.state is AlarmState.NORMAL or self.suppressed is None:
            return self.state.value
        return self.suppressed.value
