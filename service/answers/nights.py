"""How the nights were: the answer to ``nights``.

``condensation_min`` stays None as long as no temperature of a surface is known.
"""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from typing_extensions import TypedDict

from devices.reading import Quantity
from service.answers.place_series import PlaceSeries
from service.answers.shed_series import ShedSeries, shed_series
from service.answers.telling import rfc3339, rfc3339_or_none
from service.climate import nights as night_bounds
from service.climate.night_summary import summarise_night
from service.climate.nights import Night
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore, StoredReading

ALWAYS_COUNTED_BELOW_C = (0.0, 5.0, 10.0)

NightAnswer = TypedDict(
    "NightAnswer",
    {
        "night": str,
        "from": str,
        "to": str | None,
        "bounds": str,
        "low_c": float | None,
        "low_at": str | None,
        "hours_below": dict[str, float | None],
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
    # A night that begins in that time may end after it, and that is known too.
    known = min(now, end + timedelta(days=2))
    return [
        _told(night, store, settings, of_shed, known)
        for night in known_nights(store, settings, of_shed, first, known)
        if night.since < end
    ]


def _first_reading(
    store: ReadingStore, of_shed: ShedSeries, since: datetime, until: datetime
) -> datetime | None:
    """When anything was measured first in that time; looked for a month at a time."""
    all_three = (of_shed.temperature, of_shed.humidity, of_shed.light)
    kept = [one for one in all_three if one is not None]
    start = max(since, _NOTHING_BEFORE)
    while start < until:
        end = min(start + timedelta(days=31), until)
        windows = [series.window(store, start, end) for series in kept]
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
        readings = of_shed.light.window(store, day_before, until + _INSTANT)
    return night_bounds.nights(readings, settings.light, since, until, max_gap=of_shed.light_gap)


_INSTANT = timedelta(microseconds=1)


def _told(
    night: Night, store: ReadingStore, settings: Settings, of_shed: ShedSeries, now: datetime
) -> NightAnswer:
    gap = of_shed.air_gap
    since, until = night.since - gap, (night.until or now) + _INSTANT

    def air(series: PlaceSeries | None) -> Sequence[StoredReading]:
        return series.window(store, since, until) if series else ()

    summed = summarise_night(
        night,
        air(of_shed.temperature),
        air(of_shed.humidity),
        counted_below(settings),
        max_gap=gap,
        now=now,
    )
    return {
        "night": night.evening.isoformat(),
        "from": rfc3339(night.since),
        "to": rfc3339_or_none(night.until),
        "bounds": night.bounds,
        "low_c": summed.low_c,
        "low_at": rfc3339_or_none(summed.low_at),
        "hours_below": {
            # Where nothing was measured nobody knows: that is not no hour.
            f"{limit}": round(hours, 3) if summed.coverage > 0 else None
            for limit, hours in summed.hours_below.items()
        },
        "rh_max_pct": summed.rh_max_pct,
        "dew_margin_min_c": _rounded(summed.dew_margin_min_c, 3),
        "condensation_min": _rounded(summed.condensation_min, 1),
        "coverage": round(summed.coverage, 4),
    }


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def counted_below(settings: Settings) -> tuple[float, ...]:
    """The temperatures below which hours are counted: round ones, and all cold limits."""
    limits = {
        limit.low
        for limit in settings.limits
        if limit.quantity is Quantity.TEMPERATURE and limit.low is not None
    }
    return tuple(sorted({*ALWAYS_COUNTED_BELOW_C, *limits}))
