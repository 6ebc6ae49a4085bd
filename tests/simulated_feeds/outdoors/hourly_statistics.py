"""What is compared between hourly weather of files and of the simulated places."""

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pvlib  # type: ignore[import-untyped]
from numpy.typing import NDArray

from simulated_feeds.moist_air import saturation_pa
from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.outdoors.sunshine import (
    Values,
    clear_sun_w_m2,
    let_through,
    sine_of_height,
)
from simulated_feeds.outdoors.typical_year import YEAR_H, TypicalYear
from simulated_feeds.outdoors.usual import UsualWeather

FILES = Path(pvlib.__file__).parent / "data"
LAGS_H = (1, 3, 6, 12, 24, 48)
SHARES_PCT = (5, 25, 50, 75, 95)
_MONTH_ENDS = np.cumsum([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_FIRST = int((datetime(2001, 1, 1, tzinfo=UTC) - datetime(1970, 1, 1, tzinfo=UTC)).days) * 24


@dataclass(frozen=True, slots=True, kw_only=True)
class HourlyStatistics:
    """Of whole years, from New Year on in local standard time."""

    months_c: Values
    daily_range_k: Values
    daily_range_sd_k: float
    change_sd_k: float
    alike: Values
    humidity_pct: Values
    depression_k: Values
    depression_mean_k: float
    wind_m_s: float
    wind_95_m_s: float
    cloud: float
    sun_w_m2: float

    @property
    def mean_c(self) -> float:
        return float(np.mean(self.months_c))


def of_file(year: TypicalYear) -> HourlyStatistics:
    return _statistics(
        year.temperature_c, year.dew_point_c, year.cloud, year.wind_m_s, year.sun_w_m2
    )


def of_place(place: WeatherParameters, seed: int, years: int) -> HourlyStatistics:
    """Years of 365 days, one after the other."""
    first = _FIRST - round(place.longitude / 15.0)
    found = UsualWeather(place, seed).at_hours(first, years * YEAR_H)
    height = sine_of_height(found.hours, place.latitude, place.longitude)
    sun = clear_sun_w_m2(height) * let_through(found.cloud)
    return _statistics(found.temperature_c, found.dew_point_c, found.cloud, found.wind_m_s, sun)


def _statistics(
    temperature: Values, dew_point: Values, cloud: Values, wind: Values, sun: Values
) -> HourlyStatistics:
    days = np.arange(len(temperature)) // 24 % 365
    months = np.searchsorted(_MONTH_ENDS, days, side="right")
    ranges = np.ptp(temperature.reshape(-1, 24), axis=1)
    of_day = months[::24]
    humidity = 100.0 * saturation_pa(dew_point) / saturation_pa(temperature)
    return HourlyStatistics(
        months_c=np.array([temperature[months == m].mean() for m in range(12)]),
        daily_range_k=np.array([ranges[of_day == m].mean() for m in range(12)]),
        daily_range_sd_k=float(ranges.std()),
        change_sd_k=float(np.diff(temperature).std()),
        alike=_alike(temperature, months),
        humidity_pct=np.percentile(humidity, SHARES_PCT),
        depression_k=np.percentile(temperature - dew_point, SHARES_PCT),
        depression_mean_k=float(np.mean(temperature - dew_point)),
        wind_m_s=float(wind.mean()),
        wind_95_m_s=float(np.percentile(wind, 95)),
        cloud=float(cloud.mean()),
        sun_w_m2=float(sun.mean()),
    )


def _alike(temperature: Values, months: NDArray[np.intp]) -> Values:
    """Autocorrelation of what is left without each month's mean at each hour, year by year."""
    found = []
    hour = np.arange(YEAR_H) % 24
    for start in range(0, len(temperature), YEAR_H):
        left = temperature[start : start + YEAR_H].copy()
        group = months[start : start + YEAR_H] * 24 + hour
        counts = np.bincount(group)
        left -= (np.bincount(group, left) / counts)[group]
        found.append([np.corrcoef(left[:-lag], left[lag:])[0, 1] for lag in LAGS_H])
    return np.asarray(np.mean(found, axis=0))
