"""What a scenario makes happen, beside what weather and birds do by themselves."""

from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum


class What(StrEnum):
    """The things that can be made to happen, by who suffers them.

    ``amount`` of a happening means: for ``TIMER_OFF`` hours by which the lamps' clock is
    ahead (negative: behind); for ``WRONG_CLOCK`` seconds by which the sender's clock is ahead;
    for ``COLD_NIGHT`` and ``HEAT_WAVE`` the low or the high that the air outdoors is led to [°C],
    for ``DAMP_NIGHT`` the least warmth of its fog (all three have preset ones);
    for ``DROPS`` the share of messages lost (0 to 1). Nothing for the others.
    """

    # The weather.
    COLD_NIGHT = "cold night"
    DAMP_NIGHT = "damp night"
    HEAT_WAVE = "heat wave"
    # The building.
    HEATER_FAILS = "heater fails"
    VENT_STUCK_SHUT = "vent stuck shut"
    POWER_CUT = "power cut"
    # The lamps.
    LAMPS_FAIL = "lamps fail"
    LAMPS_ON = "lamps on"
    TIMER_OFF = "timer off"
    # The birds of one box.
    DOES_NOT_CLEAR = "hen does not clear"
    OFF_HER_EGGS = "hen off her eggs"
    # One sender.
    STOPS = "sensor stops"
    STUCK = "sensor stuck"
    READS_85 = "sensor reads 85"
    REBOOTS = "sensor reboots"
    WRONG_CLOCK = "wrong clock"
    TWIN = "second sender of one name"
    BACKLOG = "backlog"
    DROPS = "messages lost"
    SATURATED = "sensor saturated"
    BATTERY_SAGS = "battery sags"
    GLITCHES = "glitches"


@dataclass(frozen=True, slots=True, kw_only=True)
class Happening:
    """``what`` holds for ``since <= t < until`` [UTC].

    ``who`` is a box for what birds suffer, a device for what a sender does; None elsewhere.
    """

    what: What
    since: datetime
    until: datetime
    who: str | None = None
    amount: float | None = None

    def __post_init__(self) -> None:
        if self.since.tzinfo is not UTC or self.until.tzinfo is not UTC:
            raise ValueError(f"{self.what}: {self.since} to {self.until} is not told in UTC")
        if self.since >= self.until:
            raise ValueError(f"{self.what} ends before it begins: {self.since} to {self.until}")

    def holds(self, at: datetime) -> bool:
        """Whether it is so at an instant."""
        return self.since <= at < self.until
