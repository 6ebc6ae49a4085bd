"""The air of places hour by hour, for what is reckoned over weeks: clocks and eggs' water."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from devices.reading import Quantity
from service.answers.place_series import PlaceSeries, place_series, stands_there
from service.climate.egg_water import BoxHour
from service.climate.moist_air import ACCEPTED_C, HIGHEST_HUMIDITY_PCT, vapour_pressure_pa
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore, Series

HOUR = timedelta(hours=1)
QUARTER = timedelta(minutes=15)
ENOUGH_QUARTERS = 2
"""So many quarters of an hour with readings tell of the hour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceAir:
    """What tells temperature at a place, and humidity by the same sensor where it has it."""

    place: str
    temperature: PlaceSeries
    humidity: PlaceSeries | None


def air_at(place: str, series: Sequence[Series], settings: Settings) -> PlaceAir | None:
    """By the sensors of just this place; one that stands there, with humidity, comes first."""
    here = [one for one in series if one.place == place]
    damp = {one.device: one for one in here if one.quantity is Quantity.RELATIVE_HUMIDITY}

    def rank(one: Series) -> tuple[bool, bool, int]:
        stands = stands_there(one, settings.sensors)
        return (not stands, one.device not in damp, one.id if stands else -one.id)

    warm = [one for one in here if one.quantity is Quantity.TEMPERATURE]
    leading = min(warm, key=rank, default=None)
    if leading is None:
        return None
    with_it = damp.get(leading.device)
    return PlaceAir(
        place=place,
        temperature=place_series(here, leading, settings.sensors),
        humidity=None if with_it is None else place_series(here, with_it, settings.sensors),
    )


def nearest_air(place: str, series: Sequence[Series], settings: Settings) -> PlaceAir | None:
    """That of the place, else that of the next place around it that has a thermometer."""
    within = {one.id: one.within for one in settings.places}
    around: str | None = place
    while around is not None:
        found = air_at(around, series, settings)
        if found is not None:
            return found
        around = within.get(around)
    return None


def quarters(
    store: ReadingStore, series: PlaceSeries | None, since: datetime, until: datetime
) -> dict[datetime, float]:
    """The means of quarters of an hour by their start; one without a reading is absent, and so is
    a temperature that no air in a shed has: a broken thermometer tells it for weeks.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    if series is None:
        return {}
    begin = whole_hour(since)
    told = series.means(store, begin, until, width=QUARTER)
    if series.leading.quantity is Quantity.TEMPERATURE:
        coldest, warmest = ACCEPTED_C
        return {one.start: one.mean for one in told if coldest <= one.mean <= warmest}
    return {one.start: one.mean for one in told}


def hourly(told: Mapping[datetime, float], since: datetime, until: datetime) -> list[float | None]:
    """The mean of each hour from that of ``since`` on, without a break; None where fewer than
    ENOUGH_QUARTERS tell of it.
    """
    found: list[float | None] = []
    start = whole_hour(since)
    while start < until:
        here = [told[at] for n in range(4) if (at := start + n * QUARTER) in told]
        found.append(sum(here) / len(here) if len(here) >= ENOUGH_QUARTERS else None)
        start += HOUR
    return found


def vapour(warm: Mapping[datetime, float], damp: Mapping[datetime, float]) -> dict[datetime, float]:
    """The vapour pressure [Pa] of the quarters in which both were measured."""
    return {
        at: vapour_pressure_pa(temperature_c, damp[at])
        for at, temperature_c in warm.items()
        if 0 < damp.get(at, 0.0) <= HIGHEST_HUMIDITY_PCT
    }


def box_hours(
    store: ReadingStore, air: PlaceAir, since: datetime, until: datetime
) -> tuple[BoxHour, ...]:
    """The hours of a box that its own sensor tells of, gaps absent; none without humidity.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    warm = quarters(store, air.temperature, since, until)
    moist = vapour(warm, quarters(store, air.humidity, since, until))
    begin = whole_hour(since)
    both = zip(hourly(warm, since, until), hourly(moist, since, until), strict=True)
    return tuple(
        BoxHour(start=begin + n * HOUR, temperature_c=temperature_c, vapour_pa=vapour_pa)
        for n, (temperature_c, vapour_pa) in enumerate(both)
        if temperature_c is not None and vapour_pa is not None
    )


def whole_hour(at: datetime) -> datetime:
    """The beginning of its hour."""
    return at.replace(minute=0, second=0, microsecond=0)
