"""Which series stand for the shed as a whole: its thermometer and its light sensor."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from devices.reading import Quantity
from service.nests.place import PlaceKind
from service.settings.settings import Settings
from service.store.reading_store import Series

LONGEST_SILENCE = timedelta(minutes=15)
"""For a sensor that is set up no more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ShedSeries:
    """Of the first shed. ``humidity`` is of the same sensor as ``temperature``; each None
    where the shed has none. Gaps longer than ``…_gap`` are gaps, not steady air.
    """

    temperature: Series | None
    humidity: Series | None
    light: Series | None
    air_gap: timedelta
    light_gap: timedelta


def shed_series(series: Sequence[Series], settings: Settings) -> ShedSeries:
    """Sensors that are set up come first, then those that tell humidity too."""
    sheds = {place.id for place in settings.places if place.kind is PlaceKind.SHED}
    here = [one for one in series if one.place in sheds]
    set_up = [sensor.device for sensor in settings.sensors]
    damp = {one.device: one for one in here if one.quantity is Quantity.RELATIVE_HUMIDITY}

    def rank(one: Series) -> tuple[bool, bool, int]:
        return (one.device not in set_up, one.device not in damp, one.id)

    temperature = min(
        (s for s in here if s.quantity is Quantity.TEMPERATURE), key=rank, default=None
    )
    light = min((s for s in here if s.quantity is Quantity.ILLUMINANCE), key=rank, default=None)
    only_damp = min(damp.values(), key=rank, default=None)
    return ShedSeries(
        temperature=temperature,
        humidity=damp.get(temperature.device) if temperature else only_damp,
        light=light,
        air_gap=max_gap(temperature or only_damp, settings),
        light_gap=max_gap(light, settings),
    )


def max_gap(series: Series | None, settings: Settings) -> timedelta:
    """How long the sensor of a series may be silent before a gap is a gap."""
    for sensor in settings.sensors:
        if series is not None and sensor.device == series.device:
            return sensor.overdue_after
    return LONGEST_SILENCE
