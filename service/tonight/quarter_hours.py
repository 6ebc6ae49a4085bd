"""Quarters of an hour of the shed's air, outdoors and the coldest surface, from the store."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from devices.reading import Quantity
from service.answers.place_series import PlaceSeries, place_series, stands_there
from service.answers.shed_series import max_gap, shed_series
from service.climate.cold_surface import ColdSurface
from service.climate.moist_air import dew_point_c
from service.climate.outlook.quarters import QUARTER_S, Quarters, begin_of, quarter
from service.nests.place import PlaceKind
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore, Series

WIDTH = timedelta(seconds=QUARTER_S)
TOLD_FROM = 0.5
"""A quarter of which less was covered by readings is not told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NightSeries:
    """What tells of the shed's nights; each None where there is none.

    ``surface_by`` says how the coldest surface is known: "measured", "factor 0.3", "4 K below
    air"; empty where it is not.
    """

    place: str
    shed: PlaceSeries
    humidity: PlaceSeries | None
    outdoors: PlaceSeries | None
    surface: PlaceSeries | None
    reckoned: ColdSurface | None
    gaps: Mapping[int, timedelta]

    @property
    def surface_by(self) -> str:
        if self.surface is not None:
            return "measured"
        if self.reckoned is None:
            return ""
        if self.reckoned.below_air_k is not None:
            return f"{self.reckoned.below_air_k:g} K below air"
        return f"factor {self.reckoned.temperature_factor:g}"


def night_series(store: ReadingStore, settings: Settings) -> NightSeries | None:
    """None where no thermometer has told of a shed yet.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    series = tuple(store.series())
    of_shed = shed_series(series, settings)
    if of_shed.temperature is None:
        return None
    return NightSeries(
        place=of_shed.temperature.leading.place,
        shed=of_shed.temperature,
        humidity=of_shed.humidity,
        outdoors=_thermometer(series, settings, PlaceKind.OUTDOORS),
        surface=_thermometer(series, settings, PlaceKind.SURFACE),
        reckoned=settings.surface,
        gaps={one.id: max_gap(one, settings) for one in series},
    )


def _thermometer(
    series: Sequence[Series], settings: Settings, kind: PlaceKind
) -> PlaceSeries | None:
    """The one that stands at such a place; else the last that did."""
    there = {place.id for place in settings.places if place.kind is kind}
    told = [one for one in series if one.place in there and one.quantity is Quantity.TEMPERATURE]
    stands = [one for one in told if stands_there(one, settings.sensors)]
    leading = next(iter(stands), told[-1] if told else None)
    return None if leading is None else place_series(told, leading, settings.sensors)


def read_quarters(
    store: ReadingStore, of_night: NightSeries, since: datetime, until: datetime
) -> Quarters:
    """All whole quarters that ended by ``until``, from the one in which ``since`` lies.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    first, end = quarter(since), quarter(until)

    def means(series: PlaceSeries | None) -> list[float | None]:
        return _means(store, series, first, end, of_night.gaps)

    shed, humidity = means(of_night.shed), means(of_night.humidity)
    outdoors, surface = means(of_night.outdoors), means(of_night.surface)
    if of_night.surface is None and of_night.reckoned is not None:
        surface = [
            None if inside is None else of_night.reckoned.at_c(inside, outside)
            for inside, outside in zip(shed, outdoors, strict=True)
        ]
    return Quarters(
        first=first,
        shed_c=shed,
        dew_c=[_dew_c(c, pct) for c, pct in zip(shed, humidity, strict=True)],
        outdoors_c=outdoors,
        surface_c=surface,
    )


def _means(
    store: ReadingStore,
    series: PlaceSeries | None,
    first: int,
    end: int,
    gaps: Mapping[int, timedelta],
) -> list[float | None]:
    found: list[float | None] = [None] * (end - first)
    if series is None:
        return found
    gap = gaps[series.leading.id]
    for one in series.buckets(store, begin_of(first), begin_of(end), width=WIDTH, max_gap=gap):
        if one.coverage >= TOLD_FROM:
            found[quarter(one.start) - first] = one.mean
    return found


def _dew_c(temperature_c: float | None, humidity_pct: float | None) -> float | None:
    """None where either was not told, or where no formula covers that air."""
    if temperature_c is None or humidity_pct is None:
        return None
    try:
        return dew_point_c(temperature_c, humidity_pct)
    except ValueError:
        return None
