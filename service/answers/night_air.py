"""The air of nights, read from the store: that of the shed, and its coldest surface."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from devices.reading import Quantity
from service.answers.place_series import PlaceSeries, place_series, stands_there
from service.answers.shed_series import ShedSeries, max_gap
from service.climate.cold_surface import ColdSurface
from service.climate.night_air import NOTHING, OF_SENSORS, NightAir, Series, within
from service.climate.nights import Night
from service.climate.samples import ms_of
from service.climate.surface_water import coldest, doubt_of, reckoned
from service.nests.place import PlaceKind
from service.settings.settings import Settings
from service.store import reading_store as store_of
from service.store.reading_store import ReadingStore

LOOK_BACK = timedelta(hours=24)
"""Water that gathered so long before a night may be on the surface in it."""

_INSTANT = timedelta(microseconds=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Heard:
    """A place's series, and how long one of its readings holds."""

    series: PlaceSeries
    max_gap: timedelta


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedSensors:
    """Which sensors tell the air of the shed, how cold its coldest surface is, and the air
    outdoors; each None where there is none. ``more_surfaces`` are further ones, of which the
    coldest counts. ``described`` is the surface as the keeper told it.
    """

    temperature: _Heard | None
    humidity: _Heard | None
    surface: _Heard | None
    outdoors: _Heard | None
    described: ColdSurface | None
    more_surfaces: tuple[_Heard, ...] = ()


def shed_sensors(
    series: Sequence[store_of.Series], settings: Settings, of_shed: ShedSeries
) -> ShedSensors:
    """Those of the first shed; of several that tell the same, the one that stands there."""
    surfaces = _warmth_at(PlaceKind.SURFACE, series, settings)
    outdoors = _warmth_at(PlaceKind.OUTDOORS, series, settings)

    def in_shed(one: PlaceSeries | None) -> _Heard | None:
        return None if one is None else _Heard(series=one, max_gap=of_shed.air_gap)

    return ShedSensors(
        temperature=in_shed(of_shed.temperature),
        humidity=in_shed(of_shed.humidity),
        surface=surfaces[0] if surfaces else None,
        outdoors=outdoors[0] if outdoors else None,
        described=settings.surface,
        more_surfaces=surfaces[1:],
    )


def airs_of_nights(
    store: ReadingStore, sensors: ShedSensors, nights: Sequence[Night], now: datetime
) -> Iterator[tuple[NightAir, Sequence[Night]]]:
    """The air of some nights, from a day before the first, with the nights that it is for.

    Nights in which a sensor on the surface told come first; where it was silent, and where
    there is none, the surface is as the keeper described it.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    since, until = nights[0].since - LOOK_BACK, (nights[-1].until or now) + _INSTANT

    def read(heard: _Heard | None) -> Series:
        if heard is None:
            return NOTHING
        told = heard.series.samples(store, since - heard.max_gap, until)
        return Series(samples=told, max_gap=heard.max_gap)

    plain = NightAir(temperature=read(sensors.temperature), humidity=read(sensors.humidity))
    measured = coldest([read(each) for each in (sensors.surface, *sensors.more_surfaces)])
    heard = [night for night in nights if _tells(measured, night, now)]
    if heard:
        yield replace(plain, surface=measured, known="measured", doubt=OF_SENSORS), heard
    silent = [night for night in nights if night not in heard]
    described = sensors.described
    if silent and described is None:
        yield plain, silent
    elif silent and described is not None:
        outdoors = NOTHING if described.temperature_factor is None else read(sensors.outdoors)
        surface = reckoned(described, plain.temperature, outdoors)
        yield replace(plain, surface=surface, known="reckoned", doubt=doubt_of(described)), silent


def _tells(surface: Series, night: Night, now: datetime) -> bool:
    return bool(within(surface, ms_of(night.since), ms_of(night.until or now)))


def _warmth_at(
    kind: PlaceKind, series: Sequence[store_of.Series], settings: Settings
) -> tuple[_Heard, ...]:
    """The temperature at each place of a kind that has told one, in their order.

    At a place a sensor that stands there comes first.
    """
    found = []
    for place in (one.id for one in settings.places if one.kind is kind):
        there = [
            one for one in series if one.place == place and one.quantity is Quantity.TEMPERATURE
        ]
        if there:
            # Of those that stand there the first; of those that are gone the last.
            standing = [one for one in there if stands_there(one, settings.sensors)]
            leading = standing[0] if standing else there[-1]
            heard = place_series(series, leading, settings.sensors)
            found.append(_Heard(series=heard, max_gap=max_gap(leading, settings)))
    return tuple(found)
