"""The weather of a place without any leading, hour by hour: season, air masses, fronts, sun,
clear nights and moisture. The same hours have the same weather wherever reckoning begins.
"""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from simulated_feeds.outdoors.fronts import Fronts, fronts
from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.outdoors.sunshine import (
    Values,
    clear_sun_w_m2,
    let_through,
    sine_of_height,
    year_angle,
)
from simulated_feeds.outdoors.swings import Swing

_FULL_SUN_W_M2 = 1000.0
# A covered sky sends back four fifths of what a clear one lets go: common knowledge, no source.
_COVER_KEEPS = 0.8
# Wind mixes the air near the ground with that above: sun and sky do half as much in so much
# more wind as this.
_MIXED_AT_M_S = 6.0
# How far back sun and sky still matter, in times of the ground's own; and half a day of hours.
_MEMORIES = 6
_HALF_DAY_H = 12
# So much of the day's warming goes into the dew point: leaves and soil evaporate by day.
_DAY_MOISTENS = 0.2
# Less depression than this, and haze and dew hold the air from filling further [K].
_HAZE_K = 1.2
_SHORTEST_DAY = 355.0
_SLICES = 40
_BELL = np.array([NormalDist().inv_cdf((k + 0.5) / _SLICES) for k in range(_SLICES)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """Weather at full hours: °C, shares of cloud, m/s; ``hours`` counts from 1970-01-01 UTC."""

    hours: Values
    temperature_c: Values
    dew_point_c: Values
    cloud: Values
    wind_m_s: Values


class UsualWeather:
    """All years of a place; the seed tells which of all years that it could have."""

    def __init__(self, parameters: WeatherParameters, seed: int) -> None:
        self._parameters = p = parameters
        self._seed = seed
        self._air_mass = Swing(seed, "air mass", p.air_mass_h)
        self._moisture = Swing(seed, "moisture", p.moisture_h)
        self._cloud = Swing(seed, "cloud", p.cloud_h)
        self._east = Swing(seed, "wind from east", p.wind_h)
        self._north = Swing(seed, "wind from north", p.wind_h)
        usual_cloud = np.clip(p.cloud_centre + p.unrest * p.cloud_spread * _BELL, 0.0, 1.0)
        self._usual_cloud = float(np.mean(usual_cloud))
        self._usual_sun = float(np.mean(let_through(usual_cloud)))
        self._usual_sky = float(np.mean(_open_sky(usual_cloud)))

    def at_hours(self, first: int, count: int) -> Hours:
        """The weather of ``count`` full hours from the hour ``first`` since 1970-01-01 UTC on."""
        p = self._parameters
        before = _HALF_DAY_H + round(_MEMORIES * p.ground_follows_h)
        start, length = first - before, count + before + _HALF_DAY_H
        hours = np.arange(start, start + length, dtype=np.float64)
        passing = fronts(p, self._seed, hours)
        summer = _summer(p, hours)
        cloud = self._cloud_at(start, length, passing)
        wind = self._wind_at(start, length, summer, passing)
        warming = self._warming(hours, cloud, wind)

        air_mass_k = p.unrest * (
            _between(p.air_mass_winter_k, p.air_mass_summer_k, summer)
            * self._air_mass.at_hours(start, length)
            + passing.warmth_k
        )
        season = p.yearly_mean_c + p.yearly_swing_k * summer
        temperature = season + air_mass_k + warming
        dew_point = (
            season
            - _between(p.dryness_winter_k, p.dryness_summer_k, summer)
            + p.dew_point_follows * air_mass_k
            + _DAY_MOISTENS * warming
            + p.cloud_damps_k * (cloud - self._usual_cloud)
            + p.unrest
            * _between(p.moisture_winter_k, p.moisture_summer_k, summer)
            * self._moisture.at_hours(start, length)
        )
        depression = _HAZE_K * np.logaddexp(0.0, (temperature - dew_point) / _HAZE_K)
        asked = slice(before, before + count)
        return Hours(
            hours=hours[asked],
            temperature_c=temperature[asked],
            dew_point_c=(temperature - depression)[asked],
            cloud=cloud[asked],
            wind_m_s=wind[asked],
        )

    def _cloud_at(self, first: int, count: int, passing: Fronts) -> Values:
        p = self._parameters
        swing = p.cloud_spread * self._cloud.at_hours(first, count) + passing.cloud
        return np.clip(p.cloud_centre + p.unrest * swing, 0.0, 1.0)

    def _wind_at(self, first: int, count: int, summer: Values, passing: Fronts) -> Values:
        p = self._parameters
        east, north = (swing.at_hours(first, count) for swing in (self._east, self._north))
        # The mean of Rayleigh's distribution is the square root of half pi.
        swing = np.hypot(east, north) / np.sqrt(np.pi / 2) - 1.0 + passing.gusts
        usual = p.wind_m_s * (1.0 - p.wind_swing * summer)
        return np.asarray(usual * np.maximum(0.0, 1.0 + p.unrest * swing))

    def _warming(self, hours: Values, cloud: Values, wind: Values) -> Values:
        """What sun and sky make of the air, beside what they do on the mean of the season [K].

        Short by half a day at either end, where the array has no meaning.
        """
        p = self._parameters
        sun_k = clear_sun_w_m2(sine_of_height(hours, p.latitude, p.longitude))
        sun_k *= p.sun_warms_k / _FULL_SUN_W_M2
        calm = (_MIXED_AT_M_S + p.wind_m_s) / (_MIXED_AT_M_S + wind)
        forced = calm * (sun_k * let_through(cloud) - p.night_cools_k * _open_sky(cloud))
        day = np.full(2 * _HALF_DAY_H, 1.0 / (2 * _HALF_DAY_H))
        usual = self._usual_sun * np.convolve(sun_k, day, mode="same")
        usual -= p.night_cools_k * self._usual_sky
        fading = np.exp(-np.arange(_MEMORIES * p.ground_follows_h) / p.ground_follows_h)
        return np.convolve(forced - usual, fading / fading.sum(), mode="full")[: len(hours)]


def _summer(parameters: WeatherParameters, hours: Values) -> Values:
    """1 at the warmest time of the year, -1 at the coldest."""
    coldest = 2 * np.pi * (_SHORTEST_DAY + parameters.season_lag_d) / 365.2425
    north = 1.0 if parameters.latitude >= 0.0 else -1.0
    return np.asarray(-north * np.cos(year_angle(hours) - coldest))


def _between(winter: float, summer: float, season: Values) -> Values:
    return np.asarray(winter + (summer - winter) * 0.5 * (1.0 + season))


def _open_sky(cloud: Values) -> Values:
    return np.asarray(1.0 - _COVER_KEEPS * cloud**2)
