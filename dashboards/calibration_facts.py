"""What the store tells of a sensor that is being calibrated: its newest raw values, and how
its salt trial goes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from devices.reading import Quantity
from devices.sensor import Sensor
from service.answers.latest import is_fresh
from service.climate.salts import Salt
from service.quality.calibrating import CALIBRATED
from service.quality.flag import Flag
from service.quality.salt_trial import LOOKED_AT, Progress, Sample, Stage, progress
from service.settings.away import JAR
from service.store.calibration_store import SaltTrial
from service.store.reading_store import ReadingStore, Series, StoredReading

READY_HOLDS_FOR = timedelta(hours=2)
"""A jar that was ready may be opened, and its result taken a little later."""

_LOOK_BACK_BY = timedelta(minutes=5)
_INSTANT = timedelta(milliseconds=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class RawNow:
    """The newest value of one quantity, without and with its correction.

    ``fresh``: it can be taken for the present. ``believed``: it can be what is.
    """

    quantity: Quantity
    raw: float
    value: float
    measured_at: datetime
    fresh: bool
    believed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialNow:
    """How a trial goes. ``ready`` is it as it was at ``ready_at``, the last moment at which it
    was ready, None where that is too long ago or never was.
    """

    now: Progress
    ready: Progress | None = None
    ready_at: datetime | None = None


def raw_values(store: ReadingStore, sensor: Sensor, now: datetime) -> tuple[RawNow, ...]:
    """What it tells where it stands, of all that can be calibrated.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    found = []
    for latest in store.latest():
        series = latest.series
        here = (series.device, series.place) == (sensor.device, sensor.place)
        if here and series.quantity in CALIBRATED:
            found.append(_raw_of(store, series, sensor, latest.measured_at, now))
    told = (one for one in found if one is not None)
    return tuple(sorted(told, key=lambda one: CALIBRATED.index(one.quantity)))


def raw_value_of(
    store: ReadingStore, sensor: Sensor, quantity: Quantity, at: datetime, now: datetime
) -> RawNow | None:
    """The value that it told of that instant where it stands; None where it told none.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    for series in store.series():
        here = (series.device, series.place) == (sensor.device, sensor.place)
        if here and series.quantity is quantity:
            return _raw_of(store, series, sensor, at, now)
    return None


def _raw_of(
    store: ReadingStore, series: Series, sensor: Sensor, at: datetime, now: datetime
) -> RawNow | None:
    window = store.window(series.id, at, at + _INSTANT)
    if not window:
        return None
    return RawNow(
        quantity=series.quantity,
        raw=_raw(window[-1]),
        value=window[-1].value,
        measured_at=at,
        fresh=is_fresh(at, sensor.overdue_after, now),
        believed=window[-1].flag in (Flag.PASS, Flag.SUSPECT),
    )


def trial_now(
    store: ReadingStore, sensor: Sensor, trial: SaltTrial, now: datetime, typed_c: float | None
) -> TrialNow:
    """How it goes at ``now``, and when it was ready last.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    since = max(trial.started_at, now - READY_HOLDS_FOR - LOOKED_AT)
    told = {
        series.quantity: _samples(store, series, since, now)
        for series in store.series()
        if (series.device, series.place) == (trial.device, JAR.id)
    }

    def at(moment: datetime) -> Progress:
        return progress(
            salt=Salt(trial.salt),
            started_at=trial.started_at,
            humidity=told.get(Quantity.RELATIVE_HUMIDITY, ()),
            temperature=told.get(Quantity.TEMPERATURE, ()),
            typed_c=typed_c,
            silent_after=sensor.overdue_after,
            now=moment,
        )

    moment = now
    while moment >= max(trial.started_at, now - READY_HOLDS_FOR):
        found = at(moment)
        if found.stage is Stage.READY:
            return TrialNow(now=at(now), ready=found, ready_at=moment)
        moment -= _LOOK_BACK_BY
    return TrialNow(now=at(now))


def _samples(
    store: ReadingStore, series: Series, since: datetime, until: datetime
) -> Sequence[Sample]:
    window = store.window(series.id, since, until + _INSTANT)
    return [
        Sample(at=one.measured_at, value=_raw(one))
        for one in window
        if one.flag in (Flag.PASS, Flag.SUSPECT)
    ]


def _raw(reading: StoredReading) -> float:
    return reading.value if reading.raw is None else reading.raw
