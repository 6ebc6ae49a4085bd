"""What was said of tonight, held to what has been measured since it was said.

An outlook is issued once an hour, from means of a quarter of an hour; the shed may have been
colder since, and a low is never above what was lowest already.
"""

from dataclasses import replace
from datetime import datetime, timedelta

from service.answers.outlook import Tonight, tonight
from service.answers.shed_series import shed_series
from service.climate.outlook.evaluate import capped
from service.settings.settings import Settings
from service.store.outlook_store import OutlookStore
from service.store.reading_store import ReadingStore

_INSTANT = timedelta(microseconds=1)


def tonight_so_far(
    outlook: OutlookStore, readings: ReadingStore, settings: Settings, now: datetime
) -> Tonight | None:
    """As ``tonight``; no temperature of it is above the lowest reading of the night so far.

    Raises:
        StoreUnavailableError: a store can't be read now.
    """
    expected = tonight(outlook, settings, now)
    if expected is None or now <= expected.said.night.since:
        return expected
    return held_to(expected, _lowest_c(readings, settings, expected.said.night.since, now))


def held_to(expected: Tonight, lowest_c: float | None) -> Tonight:
    """The same beside the lowest that was measured [°C]; None: nothing was.

    Chances and limits crossed stay as they were issued: one reading through an open door is no
    night below a limit.
    """
    so_far_c = expected.said.low_so_far_c
    if lowest_c is None or (so_far_c is not None and so_far_c <= lowest_c):
        return expected
    band = capped(expected.low_c, lowest_c)
    said = replace(expected.said, low_c=band, low_so_far_c=lowest_c)
    return replace(expected, said=said, low_c=band)


def _lowest_c(
    readings: ReadingStore, settings: Settings, since: datetime, now: datetime
) -> float | None:
    temperature = shed_series(tuple(readings.series()), settings).temperature
    if temperature is None:
        return None
    told = temperature.samples(readings, since, now + _INSTANT)
    return min((value for _, value in told), default=None)
