"""Which series stand for the shed as a whole: its thermometer and its light sensor."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from devices.reading import Quantity
from service.answers.place_series import PlaceSeries, place_series, stands_there
from service.nests.place import PlaceKind
from service.settings.settings import Settings
from service.store.reading_store import Series

LONGEST_SILENCE = timedelta(minutes=15)
"""For a sensor that is set up no more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedSeries:
    """Of the first shed. ``humidity`` is of the same sensor as ``temperature``; each None
    where the shed has none. Gaps longer than ``…_gap`` are gaps, not steady air. The past is
    also that of sensors that stood there before.
    """

    temperature: PlaceSeries | None
    humidity: PlaceSeries | None
    light: PlaceSeries | None
    air_gap: timedelta
    light_gap: timedelta


def shed_series(series: Sequence[Series], settings: Settings) -> ShedSeries:
    """Sensors that stand there come first, then those that tell humidity too."""
    sheds = {place.id for place in settings.places if place.kind is PlaceKind.SHED}
    here = [one for one in series if one.place in sheds]
    damp = {one.device: one for one in here if one.quantity is Quantity.RELATIVE_HUMIDITY}

    def rank(one: Series) -> tuple[bool, bool, int]:
        stands = stands_there(one, settings.sensors)
        # Of those that stand there the first; of those that are gone the last.
        return (not stands, one.device not in damp, one.id if stands else -one.id)

    def leading(quantity: Quantity) -> Series | None:
        return min((one for one in here if one.quantity is quantity), key=rank, default=None)

    def through_time(one: Series | None) -> PlaceSeries | None:
        return None if one is None else place_series(here, one, settings.sensors)

    temperature = leading(Quantity.TEMPERATURE)
    light = leading(Quantity.ILLUMINANCE)
    only_damp = leading(Quantity.RELATIVE_HUMIDITY)
    return ShedSeries(
        temperature=through_time(temperature),
        humidity=through_time(damp.get(temperature.device) if temperature else only_damp),
        light=through_time(light),
        air_gap=max_gap(temperature or only_damp, settings),
        light_gap=max_gap(light, settings),
    )


def max_gap(series: Series | None, settings: Settings) -> timedelta:
    """How long the sensor of a series may be silent before a gap is a gap."""
    for sensor in settings.sensors:
        if series is not None and sensor.device == series.device:
            return sensor.overdue_after
    return LONGEST_SILENCE
