"""How the nights were: the answer to ``nights``.

A reading holds until the next of its series, at most as long as its sensor may be silent;
what lies beyond is not covered and is not guessed. Flags fail and missing are left out.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TypedDict

from devices.reading import Quantity
from service.answers.shed_series import ShedSeries, shed_series
from service.answers.telling import rfc3339, rfc3339_or_none
from service.climate import nights as night_bounds
from service.climate.moist_air import ACCEPTED_C, HIGHEST_HUMIDITY_PCT, dew_point_c
from service.climate.nights import Night, usable
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore, StoredReading

ALWAYS_COUNTED_BELOW_C = (0.0, 5.0, 10.0)

CONDENSATION_WITHIN_K = 1.0
"""Surfaces of a shed are a little colder than its air at night: air whose dew point is this
near is taken for condensation conditions. An allowance, not a measurement of wet glass."""

NightAnswer = TypedDict(
    "NightAnswer",
    {
        "night": str,
        "from": str,
        "to": str | None,
        "bounds": str,
        "low_c": float | None,
        "low_at": str | None,
        "hours_below": dict[str, float],
        "rh_max_pct": float | None,
        "dew_margin_min_c": float | None,
        "condensation_min": float | None,
        "coverage": float,
    },
)


def nights(
    store: ReadingStore, settings: Settings, since: datetime, until: datetime, now: datetime
) -> list[NightAnswer]:
    """The nights that lie at least partly in that time, oldest first; one may go on.

    Nights before the first reading are not told: nothing is known of them.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    of_shed = shed_series(tuple(store.series()), settings)
    end = min(until, now)
    first = _first_reading(store, of_shed, since, end)
    if first is None:
        return []
    return [
        _told(night, store, settings, of_shed, end)
        for night in known_nights(store, settings, of_shed, first, end)
    ]


def _first_reading(
    store: ReadingStore, of_shed: ShedSeries, since: datetime, until: datetime
) -> datetime | None:
    """When anything was measured first in that time; looked for a month at a time."""
    kept = [one for one in (of_shed.temperature, of_shed.light) if one is not None]
    start = max(since, _NOTHING_BEFORE)
    while start < until:
        end = min(start + timedelta(days=31), until)
        windows = [store.window(series.id, start, end) for series in kept]
        firsts = [window[0].measured_at for window in windows if window]
        if firsts:
            return max(since, min(firsts))
        start = end
    return None


_NOTHING_BEFORE = datetime(2015, 1, 1, tzinfo=UTC)
"""No reading of this project is older than the project, by far."""


def known_nights(
    store: ReadingStore,
    settings: Settings,
    of_shed: ShedSeries,
    since: datetime,
    until: datetime,
) -> tuple[Night, ...]:
    """The nights themselves, by the light sensor of the shed where there is one."""
    readings: Sequence[StoredReading] = ()
    if of_shed.light is not None:
        day_before = since - timedelta(days=1)
        readings = store.window(of_shed.light.id, day_before, until + _INSTANT)
    return night_bounds.nights(readings, settings.light, since, until, max_gap=of_shed.light_gap)


_INSTANT = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A value and the time for which it stands."""

    since: datetime
    until: datetime
    value: float

    @property
    def hours(self) -> float:
        """How long it stands."""
        return (self.until - self.since) / timedelta(hours=1)


def held(
    readings: Sequence[StoredReading], since: datetime, until: datetime, max_gap: timedelta
) -> tuple[Held, ...]:
    """Usable readings as stretches of time within ``since`` to ``until``.

    ``readings`` may begin before ``since``: the last one before it may hold into the time.
    """
    kept = list(usable(readings))
    ends = [one.measured_at for one in kept[1:]] + [until]
    found = []
    for one, following in zip(kept, ends, strict=True):
        start = max(one.measured_at, since)
        end = min(following, one.measured_at + max_gap, until)
        if end > start:
            found.append(Held(since=start, until=end, value=one.value))
    return tuple(found)


def hours_below(stretches: Sequence[Held], limit_c: float) -> float:
    """Hours at less than ``limit_c``, as far as they are covered."""
    return round(sum(one.hours for one in stretches if one.value < limit_c), 3)


def dew_margins(temperature: Sequence[Held], humidity: Sequence[Held]) -> tuple[Held, ...]:
    """How far the air was from its dew point [K], where both were measured."""
    found = []
    n = 0
    for warm in temperature:
        while n < len(humidity) and humidity[n].until <= warm.since:
            n += 1
        for damp in _overlapping(humidity, n, warm):
            margin = _dew_margin(warm.value, damp.value)
            if margin is not None:
                since, until = max(warm.since, damp.since), min(warm.until, damp.until)
                found.append(Held(since=since, until=until, value=margin))
    return tuple(found)


def _overlapping(humidity: Sequence[Held], first: int, warm: Held) -> Iterator[Held]:
    for damp in humidity[first:]:
        if damp.since >= warm.until:
            return
        yield damp


def _dew_margin(temperature_c: float, humidity_pct: float) -> float | None:
    if not ACCEPTED_C[0] <= temperature_c <= ACCEPTED_C[1]:
        return None
    if not 0 < humidity_pct <= HIGHEST_HUMIDITY_PCT:
        return None
    return temperature_c - dew_point_c(temperature_c, humidity_pct)


def _told(
    night: Night, store: ReadingStore, settings: Settings, of_shed: ShedSeries, now: datetime
) -> NightAnswer:
    until = night.until or now
    warm, damp = _air_of(night.since, until, store, of_shed)
    margins = dew_margins(warm, damp)
    low = min(warm, key=lambda one: one.value, default=None)
    covered = sum(one.hours for one in warm)
    length = (until - night.since) / timedelta(hours=1)
    close = [one for one in margins if one.value <= CONDENSATION_WITHIN_K]
    return {
        "night": night.evening.isoformat(),
        "from": rfc3339(night.since),
        "to": rfc3339_or_none(night.until),
        "bounds": night.bounds,
        "low_c": low.value if low else None,
        "low_at": rfc3339(low.since) if low else None,
        "hours_below": {
            f"{limit:.1f}": hours_below(warm, limit) for limit in counted_below(settings)
        },
        "rh_max_pct": max((one.value for one in damp), default=None),
        "dew_margin_min_c": _least(margins),
        "condensation_min": round(sum(o.hours for o in close) * 60, 1) if margins else None,
        "coverage": round(covered / length, 4) if length > 0 else 0.0,
    }


def _least(margins: Sequence[Held]) -> float | None:
    least = min((one.value for one in margins), default=None)
    return None if least is None else round(least, 3)


def _air_of(
    since: datetime, until: datetime, store: ReadingStore, of_shed: ShedSeries
) -> tuple[tuple[Held, ...], tuple[Held, ...]]:
    gap = of_shed.air_gap
    found = []
    for series in (of_shed.temperature, of_shed.humidity):
        readings = store.window(series.id, since - gap, until + _INSTANT) if series else ()
        found.append(held(readings, since, until, gap))
    return found[0], found[1]


def counted_below(settings: Settings) -> tuple[float, ...]:
    """The temperatures below which hours are counted: round ones, and all cold limits."""
    limits = {
        limit.low
        for limit in settings.limits
        if limit.quantity is Quantity.TEMPERATURE and limit.low is not None
    }
    return tuple(sorted({*ALWAYS_COUNTED_BELOW_C, *limits}))
