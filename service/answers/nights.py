"""How the nights were: the answer to ``nights``.

Where nothing tells how cold the coldest surface is, its margin and ``condensation_min`` are
None: nothing is guessed.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta

from typing_extensions import TypedDict

from devices.reading import Quantity
from service.answers.night_air import airs_of_nights, shed_sensors
from service.answers.place_series import PlaceSeries
from service.answers.shed_series import ShedSeries, shed_series
from service.answers.telling import rfc3339, rfc3339_or_none
from service.climate import nights as night_bounds
from service.climate.night_summary import Counted, NightSummary, summarise_nights
from service.climate.nights import Night
from service.climate.samples import Sample
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore

ALWAYS_COUNTED_BELOW_C = (0.0, 5.0, 10.0)
ALWAYS_COUNTED_ABOVE_PCT = (70.0, 80.0, 90.0)

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
        "hours_above": dict[str, float | None],
        "rh_max_pct": float | None,
        "rh_max_at": str | None,
        "dew_margin_min_c": float | None,
        "dew_margin_min_at": str | None,
        "surface": str | None,
        "surface_margin_min_c": float | None,
        "surface_margin_min_at": str | None,
        "condensation_min": float | None,
        "condensation_least_min": float | None,
        "condensation_most_min": float | None,
        "fall_max_k_per_h": float | None,
        "fall_max_at": str | None,
        "coverage": float,
        "humidity_coverage": float,
        "surface_coverage": float,
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
    return [_told(one) for one in night_summaries(store, settings, since, until, now)]


def night_summaries(
    store: ReadingStore, settings: Settings, since: datetime, until: datetime, now: datetime
) -> list[NightSummary]:
    """The same as values.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    series = tuple(store.series())
    of_shed = shed_series(series, settings)
    end = min(until, now)
    first = _first_reading(store, of_shed, max(since, _NOTHING_BEFORE), end)
    if first is None:
        return []
    sensors = shed_sensors(series, settings, of_shed)
    # A night that begins in that time may end after it, and that is known too.
    known = min(now, end + timedelta(days=2))
    counted = Counted(below_c=counted_below(settings), above_pct=counted_above(settings))
    nights = [
        night for night in known_nights(store, settings, of_shed, first, known) if night.since < end
    ]
    found = []
    for few in _batches(nights):
        for air, its_nights in airs_of_nights(store, sensors, few, known):
            found += summarise_nights(its_nights, air, counted, now=known)
    return sorted(found, key=lambda told: told.night.evening)


def _batches(nights: Sequence[Night]) -> Iterator[Sequence[Night]]:
    """A month at a time: a year of readings at once would fill a small machine's memory."""
    for start in range(0, len(nights), _AT_ONCE):
        yield nights[start : start + _AT_ONCE]


_AT_ONCE = 31


def _first_reading(
    store: ReadingStore, of_shed: ShedSeries, since: datetime, until: datetime
) -> datetime | None:
    """When anything was measured first in that time."""
    all_three = (of_shed.temperature, of_shed.humidity, of_shed.light)
    firsts = (one.first(store, since, until) for one in all_three if one is not None)
    return min((one for one in firsts if one is not None), default=None)


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
    day_before = since - timedelta(days=1)
    light = _light(store, of_shed.light, day_before, until + _INSTANT)
    return night_bounds.nights(light, settings.light, since, until, max_gap=of_shed.light_gap)


def _light(
    store: ReadingStore, series: PlaceSeries | None, since: datetime, until: datetime
) -> Iterator[Sample]:
    """Samples of light, read a month at a time for the sake of memory."""
    while series is not None and since < until:
        end = min(since + _MONTH, until)
        yield from series.samples(store, since, end)
        since = end


_MONTH = timedelta(days=31)
_INSTANT = timedelta(microseconds=1)


def _told(told: NightSummary) -> NightAnswer:
    night = told.night
    return {
        "night": night.evening.isoformat(),
        "from": rfc3339(night.since),
        "to": rfc3339_or_none(night.until),
        "bounds": night.bounds,
        "low_c": told.low_c,
        "low_at": rfc3339_or_none(told.low_at),
        "hours_below": _hours(told.hours_below, told.coverage),
        "hours_above": _hours(told.hours_above, told.humidity_coverage),
        "rh_max_pct": told.rh_max_pct,
        "rh_max_at": rfc3339_or_none(told.rh_max_at),
        "dew_margin_min_c": _rounded(told.dew_margin_min_c, 3),
        "dew_margin_min_at": rfc3339_or_none(told.dew_margin_min_at),
        "surface": told.surface,
        "surface_margin_min_c": _rounded(told.surface_margin_min_c, 3),
        "surface_margin_min_at": rfc3339_or_none(told.surface_margin_min_at),
        "condensation_min": _rounded(told.condensation_min, 1),
        "condensation_least_min": _rounded(told.condensation_least_min, 1),
        "condensation_most_min": _rounded(told.condensation_most_min, 1),
        "fall_max_k_per_h": _rounded(told.fall_max_k_per_h, 2),
        "fall_max_at": rfc3339_or_none(told.fall_max_at),
        "coverage": round(told.coverage, 4),
        "humidity_coverage": round(told.humidity_coverage, 4),
        "surface_coverage": round(told.surface_coverage, 4),
    }


def _hours(counts: Mapping[float, float], coverage: float) -> dict[str, float | None]:
    """Where nothing was measured nobody knows: that is not no hour."""
    return {
        f"{setpoint}": round(hours, 3) if coverage > 0 else None
        for setpoint, hours in counts.items()
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


def counted_above(settings: Settings) -> tuple[float, ...]:
    """The humidities above which hours are counted: round ones, and all damp limits."""
    limits = {
        limit.high
        for limit in settings.limits
        if limit.quantity is Quantity.RELATIVE_HUMIDITY and limit.high is not None
    }
    return tuple(sorted({*ALWAYS_COUNTED_ABOVE_PCT, *limits}))
