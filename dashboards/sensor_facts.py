"""How well each sensor talks, looked up seldom: a month of readings is much to count."""

import threading
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta

from service.alarms.alarm import Alarm
from service.twins_path import RULE_PREFIX

COUNTED_EVERY = timedelta(minutes=5)

Count = Callable[[datetime], Mapping[str, Sequence[str]]]


class SensorFacts:
    """Sentences about each sensor, counted anew at most every five minutes."""

    def __init__(self, count: Count) -> None:
        """``count`` gives the sentences for each device, as known at a moment."""
        self._count = count
        self._lock = threading.Lock()
        self._told: tuple[datetime, Mapping[str, Sequence[str]]] | None = None

    def told(self, now: datetime) -> Mapping[str, Sequence[str]]:
        """By device.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        with self._lock:
            kept = self._told
            if kept is None or not timedelta(0) <= now - kept[0] < COUNTED_EVERY:
                kept = self._told = (now, self._count(now))
            return kept[1]


def twins_told(alarms: Sequence[Alarm]) -> dict[str, str]:
    """What the open alarms tell of two devices with one name, by that name."""
    return {
        alarm.rule.removeprefix(RULE_PREFIX): alarm.text
        for alarm in alarms
        if alarm.state.active and alarm.rule.startswith(RULE_PREFIX)
    }
