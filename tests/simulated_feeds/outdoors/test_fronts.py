"""Fronts come as often as asked for, are sudden, and leave the mean as it is."""

import numpy as np
import pytest

from simulated_feeds.outdoors.fronts import fronts
from simulated_feeds.outdoors.parameters import WeatherParameters

HOURS = np.arange(480_000.0, 480_000.0 + 24 * 365 * 3)


def test_no_fronts_add_nothing() -> None:
    none = fronts(WeatherParameters(fronts_per_week=0.0), 1, HOURS)
    assert not np.any(none.warmth_k)
    assert not np.any(none.cloud)
    assert not np.any(none.gusts)


def test_air_turns_colder_within_hours_as_often_as_fronts_come() -> None:
    found = fronts(WeatherParameters(fronts_per_week=1.0, front_k=6.0), 1, HOURS)
    fall = found.warmth_k[3:] - found.warmth_k[:-3]
    falls = np.count_nonzero((fall < -1.5) & (np.roll(fall, 1) >= -1.5))
    # 156 weeks with one each: a binomial spread of 11; fronts of two days running are one fall.
    assert falls == pytest.approx(156, abs=33)


def test_fronts_leave_the_mean_as_it_is() -> None:
    found = fronts(WeatherParameters(fronts_per_week=3.0, front_k=6.0), 1, HOURS)
    assert abs(np.mean(found.warmth_k)) < 0.1
    assert np.std(found.warmth_k) > 0.5


def test_wind_is_strongest_when_a_front_passes() -> None:
    found = fronts(WeatherParameters(fronts_per_week=0.5), 1, HOURS)
    falling = np.gradient(found.warmth_k) < -0.3
    assert np.mean(found.gusts[falling]) > 3.0 * np.mean(found.gusts[~falling])
