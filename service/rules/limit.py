"""A limit: a rule on one quantity at one place."""

from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum

from devices.reading import Quantity


class When(StrEnum):
    """In which light a limit holds. Where no night can be known it always holds."""

    ALWAYS = "always"
    DAY = "day"
    NIGHT = "night"


class During(StrEnum):
    """In which part of the year a limit holds: while birds breed, while they rest, or both."""

    ALWAYS = "always"
    BREEDING = "breeding"
    RESTING = "resting"


class Priority(StrEnum):
    """High is to act on, medium to watch, low is told on the phone only."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


_URGENCY = (Priority.LOW, Priority.MEDIUM, Priority.HIGH)


def is_more_urgent(one: Priority, other: Priority) -> bool:
    """Whether ``one`` has to be seen to before ``other``."""
    return _URGENCY.index(one) > _URGENCY.index(other)


RE_ALARM_AFTER = {Priority.HIGH: timedelta(hours=6)}
"""A danger that somebody has seen and that lasts is to be seen again; the rest may wait.

Common practice, no source: twice in a night, and on each visit of a day."""


class Assessment(StrEnum):
    """What a rule says now. CANNOT_TELL neither raises nor clears anything."""

    BREACHED = "breached"
    CLEAR = "clear"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """Breached below ``low`` or above ``high``; exactly one of the two is given.

    The alarm becomes active when the breach has lasted ``on_delay`` and returns to normal
    when the value has been past the setpoint by ``deadband`` for ``off_delay`` (words of
    IEC 62682). Setpoint and deadband in the quantity's own unit. ``latching``: its alarm stays
    when it is over, until a person resets it.
    """

    id: str
    place: str
    quantity: Quantity
    when: When = When.ALWAYS
    during: During = During.ALWAYS
    low: float | None = None
    high: float | None = None
    deadband: float = 0.0
    on_delay: timedelta = timedelta(0)
    off_delay: timedelta = timedelta(0)
    priority: Priority = Priority.MEDIUM
    latching: bool = False

    def __post_init__(self) -> None:
        if (self.low is None) == (self.high is None):
            raise ValueError(f"limit {self.id}: give low or high, one of the two")

    @property
    def setpoint(self) -> float:
        """The value at which the limit is breached."""
        return self.low if self.low is not None else self.high  # type: ignore[return-value]


_MUCH = {Quantity.TEMPERATURE: 5.0}
"""So much further is another danger: at 4 °C eggs chill, at -1 °C water freezes. Common practice,
no source."""


def is_much_worse(limit: Limit, value: float, before: float) -> bool:
    """Whether a danger, which was told of at ``before``, has gone much further since.

    Only of limits of high priority on warmth: nothing else kills within the hours that somebody
    who has seen it may stay away. Both values in the quantity's own unit.
    """
    much = _MUCH.get(limit.quantity)
    if much is None or limit.priority is not Priority.HIGH:
        return False
    return value <= before - much if limit.low is not None else value >= before + much
