"""The newest value of a series that tells something, for rules that go by several of them."""

from datetime import datetime, timedelta
from typing import NamedTuple

from devices.sensor import Sensor
from service.quality.flag import Flag, Judged


class Newest(NamedTuple):
    """A value, when it was measured and when it came, and how long it holds.

    A tuple, for one is made of every reading.
    """

    at: datetime
    value: float
    flag: Flag
    received_at: datetime
    max_gap: timedelta

    def holds(self, at: datetime) -> bool:
        """Whether it tells of this time, a little before or after it."""
        return abs(at - self.at) <= self.max_gap


def newest_of(judged: Judged, sensor: Sensor) -> Newest | None:
    """What a reading tells; None for one that failed or is missing."""
    flag = judged.flag_for_rules
    if flag in (Flag.FAIL, Flag.MISSING):
        return None
    reading = judged.reading
    return Newest(
        reading.measured_at, reading.value, flag, reading.received_at, sensor.overdue_after
    )


def keep(told: dict[str, Newest], device: str, newest: Newest) -> None:
    """Keep it, unless something newer is known of the device."""
    known = told.get(device)
    if known is None or known.at <= newest.at:
        told[device] = newest
