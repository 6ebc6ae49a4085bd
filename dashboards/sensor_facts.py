"""How well each sensor talks, in sentences: the flags of a day, and how much of a month it was
heard. Looked up seldom: a month of readings is much to count.
"""

import math
import threading
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime, timedelta

from dashboards.page_services import PageServices
from dashboards.views.local_words import age
from devices.sensor import Sensor
from service.alarms.alarm import Alarm
from service.quality.flag import Flag
from service.store.reading_store import ReadingStore, Series
from service.twins_path import RULE_PREFIX

COUNTED_EVERY = timedelta(minutes=5)
DAY = timedelta(days=1)
MONTH = timedelta(days=30)
_INSTANT = timedelta(milliseconds=1)
_FLAGGED = ((Flag.SUSPECT, "doubtful"), (Flag.FAIL, "not believed"), (Flag.MISSING, "missing"))

Count = Callable[[datetime], Mapping[str, Sequence[str]]]


class SensorFacts:
    """Sentences about each sensor, counted anew at most every five minutes."""

    def __init__(self, count: Count) -> None:
        """``count`` gives the sentences for each device, as known at a moment."""
        self._count = count
        self._lock = threading.Lock()
        self._told: tuple[datetime, Mapping[str, Sequence[str]]] | None = None

    def told(self, now: datetime) -> Mapping[str, Sequence[str]]:
        """By device; at most five minutes old.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        with self._lock:
            kept = self._told
            if kept is None or not timedelta(0) <= now - kept[0] < COUNTED_EVERY:
                kept = self._told = (now, self._count(now))
            return kept[1]


def counted_of(services: PageServices) -> Count:
    """Counts from the store, for the sensors that are set up at that moment."""

    def count(now: datetime) -> Mapping[str, Sequence[str]]:
        series = services.readings.series()
        told = {}
        for sensor in services.settings.sensors:
            own = [
                one for one in series if (one.device, one.place) == (sensor.device, sensor.place)
            ]
            told[sensor.device] = facts_in_words(services.readings, sensor, own, now)
        return told

    return count


def facts_in_words(
    store: ReadingStore, sensor: Sensor, series: Sequence[Series], now: datetime
) -> tuple[str, ...]:
    """``All 1440 values of the last day were good. In 30 days it was heard 98% of the time.``

    Args:
        store: where the readings are.
        sensor: whose they are.
        series: all that it tells at its place; empty before its first word.
        now: the end of the day and of the month.
    """
    if not series:
        return ()
    day = {
        one: Counter(r.flag for r in store.window(one.id, now - DAY, now + _INSTANT))
        for one in series
    }
    # What it tells most often shows best when it was heard; a battery is told once a day.
    busiest = max(series, key=lambda one: day[one].total())
    return (_flags(day.values()), _coverage(*_heard(store, busiest, sensor, now)))


def _flags(of_each: Iterable[Counter[Flag]]) -> str:
    counted = sum(of_each, Counter[Flag]())
    every = counted.total()
    if not every:
        return "No value came in the last day."
    wrong = [f"{counted[flag]} {words}" for flag, words in _FLAGGED if counted[flag]]
    if not wrong:
        return f"All {every} values of the last day were good."
    return f"Of {every} values of the last day {' and '.join(wrong)}."


def _heard(
    store: ReadingStore, series: Series, sensor: Sensor, now: datetime
) -> tuple[timedelta, float]:
    """Since when one quantity is told, a month at most, and the share of it that is covered."""
    buckets = store.buckets(series.id, now - MONTH, now, width=DAY, max_gap=sensor.overdue_after)
    if not buckets:
        return MONTH, 0.0
    first_day = store.window(series.id, buckets[0].start, buckets[0].start + DAY)
    begins_with_it = buckets[0].start <= now - MONTH
    since = now - MONTH if begins_with_it else min(one.measured_at for one in first_day)
    length = max(now - since, _INSTANT)
    return length, min(1.0, sum(one.coverage for one in buckets) * DAY / length)


def _coverage(length: timedelta, share: float) -> str:
    percent = math.floor(share * 100)  # never better than it is
    since = "30 days" if length >= MONTH else age(length.total_seconds())
    return f"In {since} it was heard {percent}% of the time."


def twins_told(alarms: Sequence[Alarm]) -> dict[str, str]:
    """What the open alarms tell of two devices with one name, by that name."""
    return {
        alarm.rule.removeprefix(RULE_PREFIX): alarm.text
        for alarm in alarms
        if alarm.state.active and alarm.rule.startswith(RULE_PREFIX)
    }
