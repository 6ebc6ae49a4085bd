"""The preset weather beside climate normals, and at other latitudes.

Normals of De Bilt, Netherlands, 1991 to 2020 (from memory): January 3.6 °C, July 18.3 °C, year
10.5 °C; relative humidity 81 % over the year, 87 % in December and 75 % in May; sunshine
1,050 kWh/m² a year; wind 3.4 m/s; between a day's low and high 5 K in January, 10 K in July.
"""

from functools import lru_cache

import numpy as np
import pytest

from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.outdoors.usual import UsualWeather
from tests.simulated_feeds.outdoors.hourly_statistics import HourlyStatistics, of_place

PRESET = WeatherParameters(latitude=52.1, longitude=5.2)


@lru_cache(maxsize=4)
def years(place: WeatherParameters) -> HourlyStatistics:
    return of_place(place, seed=4, years=5)


def test_months_are_those_of_the_north_west_of_europe() -> None:
    months = years(PRESET).months_c
    # 1.5 K: two standard errors of five Januaries.
    assert months[0] == pytest.approx(3.6, abs=1.5)
    assert months[6] == pytest.approx(18.3, abs=1.5)
    assert years(PRESET).mean_c == pytest.approx(10.5, abs=0.8)


def test_humidity_is_that_of_the_north_west_of_europe() -> None:
    median = years(PRESET).humidity_pct[2]
    assert 78.0 < median < 87.0


def test_sun_and_wind_are_those_of_the_north_west_of_europe() -> None:
    assert years(PRESET).sun_w_m2 * 8.766 == pytest.approx(1050.0, rel=0.1)
    assert years(PRESET).wind_m_s == pytest.approx(3.4, abs=0.5)


def test_days_swing_more_in_july_than_in_january() -> None:
    ranges = years(PRESET).daily_range_k
    assert ranges[0] == pytest.approx(5.0, abs=1.0)
    assert ranges[6] == pytest.approx(10.0, abs=1.5)


def test_seasons_are_turned_round_in_the_south() -> None:
    months = years(WeatherParameters(latitude=-38.0, longitude=145.0)).months_c
    assert np.argmax(months) in {0, 1}
    assert np.argmin(months) in {6, 7}


@pytest.mark.parametrize("latitude", [-90.0, -66.5, 0.0, 23.4, 66.5, 80.0, 90.0])
def test_weather_is_sound_at_any_latitude(latitude: float) -> None:
    found = UsualWeather(WeatherParameters(latitude=latitude), 3).at_hours(490_000, 24 * 366)
    assert np.all(np.isfinite(found.temperature_c))
    assert np.all((found.temperature_c > -45.0) & (found.temperature_c < 50.0))
    assert np.all(found.dew_point_c <= found.temperature_c)
    assert np.all((found.cloud >= 0.0) & (found.cloud <= 1.0))
    assert np.all((found.wind_m_s >= 0.0) & (found.wind_m_s < 40.0))


def test_year_has_no_days_at_the_pole() -> None:
    """Without a day the temperature has no daily range but by weather."""
    pole = WeatherParameters(latitude=90.0, unrest=0.0)
    found = UsualWeather(pole, 3).at_hours(490_000, 24 * 366).temperature_c.reshape(-1, 24)
    equator = WeatherParameters(latitude=0.0, unrest=0.0)
    beside = UsualWeather(equator, 3).at_hours(490_000, 24 * 366).temperature_c.reshape(-1, 24)
    assert np.max(np.ptp(found, axis=1)) < 0.5
    assert np.min(np.ptp(beside, axis=1)) > 5.0


def test_without_unrest_every_year_is_the_usual_one() -> None:
    still = WeatherParameters(unrest=0.0)
    one, other = (UsualWeather(still, seed).at_hours(490_000, 100) for seed in (1, 2))
    assert np.array_equal(one.temperature_c, other.temperature_c)


def test_clear_nights_are_colder_than_covered_ones() -> None:
    found = UsualWeather(PRESET, 3).at_hours(490_000 // 24 * 24, 24 * 365)
    nights = np.arange(24 * 365) % 24 < 4
    cloud = found.cloud[nights].reshape(-1, 4).mean(axis=1)
    days = found.temperature_c.reshape(-1, 24)
    # Colder than the mean of their own day, so that seasons and air masses cancel.
    fall = days.mean(axis=1) - found.temperature_c[nights].reshape(-1, 4).mean(axis=1)
    assert fall[cloud < 0.2].mean() > fall[cloud > 0.8].mean() + 1.0


def test_warmest_hour_is_some_hours_after_noon() -> None:
    """Common knowledge, and the files: at Greensboro in summer 14:00 local standard time."""
    found = UsualWeather(PRESET, 3).at_hours(490_000 // 24 * 24, 24 * 365)
    noon = 12.0 - PRESET.longitude / 15.0
    warmest = np.argmax(found.temperature_c.reshape(-1, 24)[120:270].mean(axis=0))
    assert 1.0 < warmest - noon < 4.5
