"""How well each sensor talks, in sentences: the flags of a day, and how much of a month it was
heard. Looked up seldom: a month of readings is much to count.
"""

import math
import threading
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.page_services import PageServices
from dashboards.views.adoption import interval_in_words
from dashboards.views.local_words import age, moment
from dashboards.views.quantity_words import quantity_words
from service.alarms.alarm import Alarm
from service.answers.sensor_health import MONTH, Coverage, SensorHealth, sensors_health
from service.quality.doubt import IN_WORDS, Doubt
from service.quality.flag import Flag
from service.twins_path import RULE_PREFIX

COUNTED_EVERY = timedelta(minutes=5)
_FLAGGED = ((Flag.SUSPECT, "doubtful"), (Flag.FAIL, "not believed"), (Flag.MISSING, "missing"))

Count = Callable[[datetime], Mapping[str, Sequence[str]]]


class SensorFacts:
    """Sentences about each sensor, counted anew every five minutes, and after each change."""

    def __init__(self, count: Count, terms: Callable[[], object] = lambda: None) -> None:
        """``count`` gives the sentences for each device, as known at a moment.

        ``terms`` is what else they follow from: settings and calibrations.
        """
        self._count = count
        self._terms = terms
        self._lock = threading.Lock()
        self._told: tuple[datetime, object, Mapping[str, Sequence[str]]] | None = None

    def told(self, now: datetime) -> Mapping[str, Sequence[str]]:
        """By device; at most five minutes old.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        with self._lock:
            kept, terms = self._told, self._terms()
            if (
                kept is None
                or kept[1] != terms
                or not timedelta(0) <= now - kept[0] < COUNTED_EVERY
            ):
                kept = self._told = (now, terms, self._count(now))
            return kept[2]


def counted_of(services: PageServices) -> Count:
    """Counts from the store, for the sensors that are set up at that moment."""

    def count(now: datetime) -> Mapping[str, Sequence[str]]:
        zone = services.settings.site.timezone
        found = sensors_health(
            services.readings,
            services.settings.sensors,
            services.calibrations.calibrations(),
            now,
        )
        return {one.device: facts_in_words(one, now, zone) for one in found}

    return count


def terms_of(services: PageServices) -> Callable[[], object]:
    """What is counted follows from the sensors that are set up, and from calibrations."""
    return lambda: (services.settings.sensors, services.calibrations.revision())


def facts_in_words(health: SensorHealth, now: datetime, zone: ZoneInfo) -> tuple[str, ...]:
    """``All 1440 values of the last day were good. In 30 days it was heard 98% of the time.``

    And how often it is really heard, where that is not what was set; and each calibration
    that is in force.
    """
    if health.coverage is None:
        return ()
    found = [_flags(health.flags, health.doubts), *_gaps(health), _coverage(health.coverage)]
    if (every := _heard_every(health)) is not None:
        found.append(every)
    in_force = {one.correction.quantity: one for one in health.calibrations}
    found += [
        f"{quantity_words(quantity).capitalize()} calibrated {moment(one.made_at, now, zone)}"
        + (f" by {one.by}." if one.by else ".")
        for quantity, one in in_force.items()
    ]
    return tuple(found)


def _flags(counted: Mapping[Flag, int], doubts: Mapping[Doubt, int]) -> str:
    every = sum(counted.values())
    if not every:
        return "No value came in the last day."
    wrong = [f"{counted[flag]} {words}" for flag, words in _FLAGGED if counted.get(flag)]
    if not wrong:
        return f"All {every} values of the last day were good."
    told = f"Of {every} values of the last day {' and '.join(wrong)}"
    most_first = sorted(doubts.items(), key=lambda one: -one[1])
    why = ", ".join(f"{times} {IN_WORDS[doubt]}" for doubt, times in most_first)
    return f"{told}: {why}." if why else f"{told}."


def _gaps(health: SensorHealth) -> tuple[str, ...]:
    if not health.gaps:
        return ()
    times = {1: "once", 2: "twice"}.get(health.gaps, f"{health.gaps} times")
    return (f"In the last day it was silent {times} for longer than it may be.",)


def _heard_every(health: SensorHealth) -> str | None:
    """Told where it is off by a quarter: what is overdue follows from what was set."""
    told, heard = health.told_every, health.heard_every
    if heard is None or abs(heard - told) <= told / 4:
        return None
    return f"It is heard every {age(heard.total_seconds())}; set is {interval_in_words(told)}."


def _coverage(found: Coverage) -> str:
    percent = math.floor(found.share * 100)  # never better than it is
    since = "30 days" if found.length >= MONTH else age(found.length.total_seconds())
    return f"In {since} it was heard {percent}% of the time."


def twins_told(alarms: Sequence[Alarm]) -> dict[str, str]:
    """What the open alarms tell of two devices with one name, by that name."""
    return {
        alarm.rule.removeprefix(RULE_PREFIX): alarm.text
        for alarm in alarms
        if alarm.state.active and alarm.rule.startswith(RULE_PREFIX)
    }
