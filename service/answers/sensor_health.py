"""How well each sensor talks: when it was heard, how often, with what flags and why, how much of
a month.

It follows a sensor through all its places: one that was moved, or stood in a salt jar for a
night, was heard there too.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import pairwise

from devices.reading import Quantity
from devices.sensor import Sensor
from service.quality.doubt import Doubt, counted
from service.quality.flag import Flag
from service.quality.qartod import gap
from service.store.calibration_store import Calibration
from service.store.reading_store import Latest, ReadingStore, Series, StoredReading

DAY = timedelta(days=1)
MONTH = timedelta(days=30)
_INSTANT = timedelta(milliseconds=1)
_FEWEST_GAPS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """The ``share`` (0 to 1) of ``length`` that lies within ``overdue_after`` of a reading.

    ``length`` is 30 days, or less for a sensor that is newer than that.
    """

    length: timedelta
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SensorHealth:
    """One sensor that is set up.

    ``told_every`` is the interval that was set, ``heard_every`` the median of the last day;
    None where that was heard too seldom to say. ``flags`` counts all values of the last day,
    ``doubts`` those that are not good by what is said of them, ``gaps`` how often it was silent
    for longer than it may be. ``coverage`` is None before its first reading. ``calibrations``
    are oldest first.
    """

    device: str
    heard_at: datetime | None
    told_every: timedelta
    heard_every: timedelta | None
    battery: Latest | None
    signal: Latest | None
    flags: Mapping[Flag, int]
    coverage: Coverage | None
    calibrations: tuple[Calibration, ...]
    doubts: Mapping[Doubt, int] = field(default_factory=dict)
    gaps: int = 0


def sensors_health(
    store: ReadingStore,
    sensors: Sequence[Sensor],
    calibrations: Sequence[Calibration],
    now: datetime,
) -> tuple[SensorHealth, ...]:
    """Of each sensor, in their order, as known at ``now``.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    series, newest = store.series(), store.latest()
    heard = {one.device: one.at for one in store.deadlines() if one.at.year > 1970}
    return tuple(
        _health(
            store,
            sensor,
            now,
            series=[one for one in series if one.device == sensor.device],
            newest=[one for one in newest if one.series.device == sensor.device],
            heard_at=heard.get(sensor.device),
            calibrations=tuple(
                one for one in calibrations if one.correction.device == sensor.device
            ),
        )
        for sensor in sensors
    )


def usual_gap(at: Sequence[datetime]) -> timedelta | None:
    """The median of the times between one and the next, oldest first; None for fewer than 5."""
    gaps = sorted(later - earlier for earlier, later in pairwise(at))
    return gaps[len(gaps) // 2] if len(gaps) >= _FEWEST_GAPS else None


def _health(
    store: ReadingStore,
    sensor: Sensor,
    now: datetime,
    *,
    series: Sequence[Series],
    newest: Sequence[Latest],
    heard_at: datetime | None,
    calibrations: tuple[Calibration, ...],
) -> SensorHealth:
    of_each: dict[Quantity, list[Series]] = defaultdict(list)
    for one in series:
        of_each[one.quantity].append(one)
    day = {quantity: _last_day(store, own, now) for quantity, own in of_each.items()}
    # What it tells most often shows best when it was heard; a battery is told once a day.
    busiest = max(of_each, key=lambda quantity: len(day[quantity]), default=None)
    return SensorHealth(
        device=sensor.device,
        heard_at=heard_at,
        told_every=sensor.interval,
        heard_every=None if busiest is None else usual_gap([r.measured_at for r in day[busiest]]),
        battery=_newest_of(newest, Quantity.BATTERY)
        or _newest_of(newest, Quantity.BATTERY_VOLTAGE),
        signal=_newest_of(newest, Quantity.SIGNAL),
        flags=Counter(reading.flag for told in day.values() for reading in told),
        coverage=None if busiest is None else _coverage(store, of_each[busiest], sensor, now),
        calibrations=calibrations,
        doubts=_doubts(store, series, now),
        gaps=0 if busiest is None else _gaps(day[busiest], sensor),
    )


def _doubts(store: ReadingStore, series: Iterable[Series], now: datetime) -> Mapping[Doubt, int]:
    found = [store.reasons(one.id, now - DAY, now + _INSTANT) for one in series]
    return counted(reason for told in found for reason in told)


def _gaps(told: Sequence[StoredReading], sensor: Sensor) -> int:
    allowed_s = sensor.overdue_after.total_seconds()
    between = (
        (later.measured_at - one.measured_at).total_seconds() for one, later in pairwise(told)
    )
    return sum(gap(since_s, allowed_s) is Flag.MISSING for since_s in between)


def _last_day(store: ReadingStore, series: Iterable[Series], now: datetime) -> list[StoredReading]:
    found = [one for own in series for one in store.window(own.id, now - DAY, now + _INSTANT)]
    return sorted(found, key=lambda one: one.measured_at)


def _newest_of(newest: Sequence[Latest], quantity: Quantity) -> Latest | None:
    told = [one for one in newest if one.series.quantity is quantity]
    return max(told, key=lambda one: one.measured_at, default=None)


def _coverage(
    store: ReadingStore, series: Sequence[Series], sensor: Sensor, now: datetime
) -> Coverage | None:
    """Of one quantity, wherever it stood."""
    told = [store.covered(one.id, now - MONTH, now, max_gap=sensor.overdue_after) for one in series]
    found = [one for one in told if one is not None]
    if not found:
        return None
    length = max(now - min(one.since for one in found), _INSTANT)
    covered = sum((one.length for one in found), timedelta(0))
    return Coverage(length=length, share=min(1.0, covered / length))
