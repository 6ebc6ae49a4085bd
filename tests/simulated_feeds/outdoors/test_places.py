"""Synthetic years beside the typical-year files of the same places, in stated bands.

Each month of a typical year was taken from one real year (Wilcox and Marion 2008), so a file is
one draw and not a mean. The bands come from what such a draw may be off by chance alone:

- Month means: air masses of 4 to 6 K with a memory of 50 to 90 h leave a winter month's mean a
  standard error of s sqrt(2 tau / 720 h) = 2 K, so twelve differences have a mean size of about
  1.5 K; 2 K allowed. The season is one harmonic here; eight years of it must keep to the
  harmonic that fits the file's months best within two standard errors, 2 x 2 K / sqrt(8).
- The yearly mean of twelve such months: 0.5 K; 1 K allowed.
- Daily range by month (30 days, standard deviation 40 % of the mean): 8 % by chance, and as
  much again for what cloud of that month was like, doubled: 35 % for a month; 15 % for the year.
- Changes from hour to hour: 20 %; the files round to 0.1 or 1 K and know thunderstorms.
- Autocorrelation: a year holds about 90 independent air masses, standard error 0.1 from 6 h
  on (0.13 allowed), and 0.03 at 1 and 3 h.
- Humidity shares: 7 points and depressions 2 K, twice the same reasoning with the moisture's
  own standard deviation (2 to 4.5 K, some 120 independent days); the mean depression 0.6 K.
- Wind: 10 % of the mean, 15 % of the highest twentieth; cloud 0.1; sun 15 %.
"""

from collections.abc import Callable

import numpy as np
import pytest

from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.outdoors.places import GREENSBORO, SAND_POINT
from simulated_feeds.outdoors.sunshine import Values
from simulated_feeds.outdoors.typical_year import read_tmy3
from tests.simulated_feeds.outdoors.hourly_statistics import (
    FILES,
    HourlyStatistics,
    of_file,
    of_place,
)

YEARS = 8
SEED = 1
PLACES = {
    "Sand Point": ("703165TY.csv", SAND_POINT),
    "Greensboro": ("723170TYA.CSV", GREENSBORO),
}
Pair = tuple[HourlyStatistics, HourlyStatistics]
Claim = Callable[[HourlyStatistics, HourlyStatistics], bool]


def _season(months_c: Values) -> Values:
    """The harmonic of a year that fits twelve months best."""
    angle = 2 * np.pi * (np.arange(12) + 0.5) / 12
    waves = np.column_stack([np.ones(12), np.cos(angle), np.sin(angle)])
    return np.asarray(waves @ np.linalg.lstsq(waves, months_c, rcond=None)[0])


CLAIMS: dict[str, Claim] = {
    "season": lambda made, file: bool(np.all(abs(made.months_c - _season(file.months_c)) < 1.4)),
    "month means": lambda made, file: bool(np.mean(abs(made.months_c - file.months_c)) < 2.0),
    "yearly mean": lambda made, file: abs(made.mean_c - file.mean_c) < 1.0,
    "daily range by month": lambda made, file: bool(
        np.all(abs(made.daily_range_k / file.daily_range_k - 1.0) < 0.35)
    ),
    "daily range": lambda made, file: (
        abs(made.daily_range_k.mean() / file.daily_range_k.mean() - 1.0) < 0.15
    ),
    "spread of the daily range": lambda made, file: (
        abs(made.daily_range_sd_k / file.daily_range_sd_k - 1.0) < 0.25
    ),
    "change from hour to hour": lambda made, file: (
        abs(made.change_sd_k / file.change_sd_k - 1.0) < 0.2
    ),
    "autocorrelation within hours": lambda made, file: bool(
        np.all(abs(made.alike - file.alike)[:2] < 0.03)
    ),
    "autocorrelation within days": lambda made, file: bool(
        np.all(abs(made.alike - file.alike)[2:] < 0.13)
    ),
    "humidity": lambda made, file: bool(np.all(abs(made.humidity_pct - file.humidity_pct) < 7.0)),
    "depression": lambda made, file: bool(np.all(abs(made.depression_k - file.depression_k) < 2.0)),
    "mean depression": lambda made, file: (
        abs(made.depression_mean_k - file.depression_mean_k) < 0.6
    ),
    "wind": lambda made, file: abs(made.wind_m_s / file.wind_m_s - 1.0) < 0.1,
    "strong wind": lambda made, file: abs(made.wind_95_m_s / file.wind_95_m_s - 1.0) < 0.15,
    "cloud": lambda made, file: abs(made.cloud - file.cloud) < 0.1,
    "sun": lambda made, file: abs(made.sun_w_m2 / file.sun_w_m2 - 1.0) < 0.15,
}


@pytest.fixture(scope="session")
def beside() -> dict[str, Pair]:
    return {
        name: (of_place(place, SEED, YEARS), of_file(read_tmy3(FILES / file)))
        for name, (file, place) in PLACES.items()
    }


@pytest.mark.parametrize("claim", CLAIMS)
@pytest.mark.parametrize("name", PLACES)
def test_weather_made_for_a_place_is_like_its_file(
    beside: dict[str, Pair], name: str, claim: str
) -> None:
    made, file = beside[name]
    assert CLAIMS[claim](made, file), (made, file)


def test_bands_tell_the_two_places_apart(beside: dict[str, Pair]) -> None:
    """Bands in which everything lay would say nothing."""
    made, _ = beside["Greensboro"]
    _, file = beside["Sand Point"]
    kept = [claim for claim, holds in CLAIMS.items() if holds(made, file)]
    assert len(kept) <= len(CLAIMS) // 3, kept


def test_another_seed_is_another_stretch_of_the_same_climate() -> None:
    one, other = (of_place(WeatherParameters(), seed, 2) for seed in (1, 2))
    assert not np.array_equal(one.months_c, other.months_c)
    assert abs(one.mean_c - other.mean_c) < 1.5
