"""Sensors that are away from their places for a while, in a salt jar. Pure."""

from collections.abc import Collection
from dataclasses import replace

from service.nests.place import Place, PlaceKind
from service.settings.settings import Settings

# No place that is set up can have this id: a space is not allowed there.
JAR = Place(id="salt jar", kind=PlaceKind.JAR, name="Salt jar", order=9999)


def with_sensors_away(settings: Settings, devices: Collection[str]) -> Settings:
    """The settings while these sensors stand in the jar.

    What they measure there is nothing of the shed: no limit is watched by it, and no page
    shows it as the shed's. That they are heard is watched as ever.
    """
    away = {one.device: one.place for one in settings.sensors if one.device in devices}
    if not away:
        return settings
    return replace(
        settings,
        places=(*settings.places, JAR),
        sensors=tuple(
            replace(sensor, place=JAR.id) if sensor.device in away else sensor
            for sensor in settings.sensors
        ),
        away=away,
    )
