"""Quarters of an hour of the shed's air, outdoors and the coldest surface, from the store."""

from datetime import datetime, timedelta
from typing import Protocol

from service.answers.night_air import ShedSensors, shed_sensors
from service.answers.place_series import PlaceSeries
from service.answers.shed_series import shed_series
from service.climate.moist_air import dew_point_c
from service.climate.outlook.quarters import QUARTER_S, Quarters, begin_of, quarter
from service.settings.settings import Settings
from service.store.reading_store import ReadingStore

WIDTH = timedelta(seconds=QUARTER_S)
TOLD_FROM = 0.5
"""A quarter of an hour of which less was covered by readings is not told."""


class _Heard(Protocol):
    """A place's series, and how long one of its readings holds."""

    @property
    def series(self) -> PlaceSeries: ...
    @property
    def max_gap(self) -> timedelta: ...


class QuarterHours:
    """Reads them by the sensors of one state of the settings."""

    def __init__(self, store: ReadingStore, settings: Settings) -> None:
        """Find out who tells what.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        self._store = store
        series = tuple(store.series())
        self._sensors: ShedSensors = shed_sensors(series, settings, shed_series(series, settings))

    @property
    def shed(self) -> PlaceSeries | None:
        """The thermometer of the shed; None where none has told yet."""
        told = self._sensors.temperature
        return None if told is None else told.series

    @property
    def surface_by(self) -> str:
        """How the coldest surface is known: "measured", "factor 0.3", "below 4"; empty: not."""
        if self._sensors.surface is not None:
            return "measured"
        described = self._sensors.described
        if described is None:
            return ""
        if described.below_air_k is not None:
            return f"below {described.below_air_k:g}"
        return f"factor {described.temperature_factor:g}"

    def read(self, since: datetime, until: datetime) -> Quarters:
        """All whole quarters that ended by ``until``, from the one in which ``since`` lies.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        first, end = quarter(since), quarter(until)
        sensors = self._sensors
        shed = self._means(sensors.temperature, first, end)
        humidity = self._means(sensors.humidity, first, end)
        outdoors = self._means(sensors.outdoors, first, end)
        surface = self._means(sensors.surface, first, end)
        described = sensors.described
        if sensors.surface is None and described is not None:
            surface = [
                None if inside is None else described.at_c(inside, outside)
                for inside, outside in zip(shed, outdoors, strict=True)
            ]
        return Quarters(
            first=first,
            shed_c=shed,
            dew_c=[_dew_c(c, pct) for c, pct in zip(shed, humidity, strict=True)],
            outdoors_c=outdoors,
            surface_c=surface,
        )

    def _means(self, heard: _Heard | None, first: int, end: int) -> list[float | None]:
        found: list[float | None] = [None] * max(0, end - first)
        if heard is None:
            return found
        since, until = begin_of(first), begin_of(end)
        for one in heard.series.buckets(
            self._store, since, until, width=WIDTH, max_gap=heard.max_gap
        ):
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
