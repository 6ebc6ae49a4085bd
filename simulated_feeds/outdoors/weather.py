"""The weather of a simulated place, one day of minutes at a time."""

import math
from collections.abc import Iterable
from datetime import UTC, datetime

import numpy as np

from simulated_feeds.day import MINUTES, OutdoorDay
from simulated_feeds.happening import Happening
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.outdoors.leading import LED, Led, aimed, bounds, led_weather
from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.outdoors.sunshine import (
    Values,
    clear_sun_w_m2,
    let_through,
    sine_of_height,
)
from simulated_feeds.outdoors.usual import Hours, UsualWeather

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_FIRST = datetime(1971, 1, 1, tzinfo=UTC)
_DAY_H = 24
_LEAST_DEPRESSION_K = 0.02


class Weather:
    """Synthetic years: equal parameters, seed and happenings give equal weather.

    Of the happenings only those of the weather matter here. Any day can be asked for, in any
    order; nothing is carried from one to the next.
    """

    def __init__(
        self, parameters: WeatherParameters, seed: int, happenings: Iterable[Happening] = ()
    ) -> None:
        self._parameters = parameters
        self._usual = UsualWeather(parameters, seed)
        self._led: tuple[Led, ...] = tuple(
            self._aimed(happening) for happening in happenings if happening.what in LED
        )

    def at_hours(self, first: int, count: int) -> Hours:
        """``count`` full hours from the hour ``first`` since 1970-01-01 UTC on."""
        return led_weather(self._usual.at_hours(first, count), self._led)

    def day(self, at: datetime) -> OutdoorDay:
        """The 1,440 minutes from ``at`` [UTC] on; between full hours along smooth curves.

        Raises:
            ImpossibleParameterError: the day is before 1971; chance is keyed by days since 1970,
                and the weather of a day depends on some weeks before it.
        """
        if at < _FIRST:
            raise ImpossibleParameterError("day of the weather", at.date(), "1971-01-01 or later")
        p = self._parameters
        since_h = (at - _EPOCH).total_seconds() / 3600.0
        first = math.floor(since_h) - 1
        known = self.at_hours(first, _DAY_H + 4)
        hours = since_h + np.arange(MINUTES) / 60.0
        temperature, dew_point, cloud, wind = (
            between_hours(values, hours - first)
            for values in (known.temperature_c, known.dew_point_c, known.cloud, known.wind_m_s)
        )
        cloud = np.clip(cloud, 0.0, 1.0)
        clear = clear_sun_w_m2(sine_of_height(hours, p.latitude, p.longitude))
        return OutdoorDay(
            at=at,
            temperature_c=temperature,
            dew_point_c=np.minimum(dew_point, temperature - _LEAST_DEPRESSION_K),
            cloud=cloud,
            wind_m_s=np.maximum(wind, 0.0),
            sun_w_m2=clear * let_through(cloud),
        )

    def _aimed(self, happening: Happening) -> Led:
        """Stretches are aimed at the usual weather, whatever other stretches do."""
        led = bounds(happening)
        first = math.floor(led.since) + 1
        usual = self._usual.at_hours(first, math.ceil(led.until) - first)
        return aimed(led, happening, usual)


def between_hours(values: Values, at: Values) -> Values:
    """A curve through values an hour apart, without kinks: Catmull and Rom's cubic pieces.

    Args:
        values: at hours 0, 1, 2, ...
        at: hours, from 1 to less than the last but one.

    Source: Catmull, E. and Rom, R. (1974), A class of local interpolating splines, Computer
    Aided Geometric Design, 317-326 (from memory).
    """
    k = np.floor(at).astype(np.int64)
    x = at - k
    before, here, there, after = (values[k + step] for step in (-1, 0, 1, 2))
    slope = there - before
    bend = 2 * before - 5 * here + 4 * there - after
    twist = 3 * (here - there) + after - before
    return np.asarray(here + 0.5 * x * (slope + x * (bend + x * twist)))
