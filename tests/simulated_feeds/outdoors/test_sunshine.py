"""The sun against pvlib, which others wrote from the same and better sources."""

import numpy as np
import pandas as pd  # type: ignore[import-untyped]
import pytest
from pvlib.clearsky import haurwitz  # type: ignore[import-untyped]
from pvlib.solarposition import get_solarposition  # type: ignore[import-untyped]

from simulated_feeds.outdoors.sunshine import (
    clear_sun_w_m2,
    let_through,
    sine_of_height,
)
from simulated_feeds.outdoors.typical_year import read_tmy3
from tests.simulated_feeds.outdoors.hourly_statistics import FILES

YEAR = pd.date_range("2026-01-01", "2026-12-31 23:00", freq="h", tz="UTC")
HOURS = YEAR.tz_localize(None).to_numpy().astype("datetime64[h]").astype(np.float64)
PLACES = [(53.2, 6.6), (-33.9, 18.4), (0.0, -78.5), (69.6, 18.9)]


@pytest.mark.parametrize(("latitude", "longitude"), PLACES)
def test_height_of_the_sun_agrees_with_pvlib(latitude: float, longitude: float) -> None:
    """Within half a degree: the calendar drifts by up to a day against the year of the sun."""
    found = np.degrees(np.arcsin(sine_of_height(HOURS, latitude, longitude)))
    # pvlib's algorithm: Reda and Andreas (2004), good to 0.0003 degrees.
    expected = get_solarposition(YEAR, latitude, longitude)["elevation"].to_numpy()
    assert np.max(abs(found - expected)) < 0.6


def test_sun_does_not_rise_in_the_polar_night_nor_set_in_its_summer() -> None:
    sine = sine_of_height(HOURS, 69.6, 18.9)
    midwinter, midsummer = YEAR.strftime("%m-%d") == "12-21", YEAR.strftime("%m-%d") == "06-21"
    assert np.all(sine[midwinter] < 0.0)
    assert np.all(sine[midsummer] > 0.0)


def test_clear_sky_agrees_with_haurwitz_in_pvlib() -> None:
    zenith = np.arange(0.0, 90.0, 2.5)
    expected = haurwitz(pd.Series(zenith))["ghi"].to_numpy()
    assert clear_sun_w_m2(np.cos(np.radians(zenith))) == pytest.approx(expected, rel=1e-6)


def test_there_is_no_sun_from_the_horizon_down() -> None:
    assert np.all(clear_sun_w_m2(np.array([0.0, -0.01, -1.0])) == 0.0)


def test_covered_sky_lets_a_quarter_through_and_a_clear_one_all() -> None:
    # Kasten and Czeplak (1980): 1 - 0.75 N^3.4 (from memory).
    assert let_through(np.array([0.0, 1.0])) == pytest.approx([1.0, 0.25])


def test_clear_days_of_a_typical_year_reach_the_clear_sky() -> None:
    """Sand Point's file (TMY3): around noon of hours told clear, within a seventh on average."""
    year = read_tmy3(FILES / "703165TY.csv")
    # The sun's values are means of the hour before; the file's year is any.
    at = HOURS[0] + np.arange(len(year.cloud)) + 0.5 - year.utc_offset_h
    clear = clear_sun_w_m2(sine_of_height(at, year.latitude, year.longitude))
    counts = (year.cloud == 0.0) & (clear > 200.0)
    assert np.count_nonzero(counts) > 100
    ratio = year.sun_w_m2[counts].sum() / clear[counts].sum()
    assert ratio == pytest.approx(1.0, abs=1 / 7)
