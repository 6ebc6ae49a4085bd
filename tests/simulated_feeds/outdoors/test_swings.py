"""Swings have the statistics that they are named for, and belong to their hours."""

import numpy as np
import pytest

from simulated_feeds.outdoors.swings import Swing

YEARS_H = 24 * 365 * 6


@pytest.mark.parametrize("memory_h", [3.0, 20.0, 60.0])
def test_swing_has_mean_0_and_spread_1(memory_h: float) -> None:
    found = Swing(5, "air mass", memory_h).at_hours(480_000, YEARS_H)
    # Three standard errors with so many independent values.
    error = 3.0 * np.sqrt(2.0 * memory_h / YEARS_H)
    assert abs(np.mean(found)) < error
    assert abs(np.std(found) - 1.0) < error


@pytest.mark.parametrize("lag_h", [1, 10, 20, 40])
def test_memory_fades_exponentially(lag_h: int) -> None:
    """Autocorrelation of Ornstein and Uhlenbeck's process (1930): exp(-lag / memory)."""
    found = Swing(5, "air mass", 20.0).at_hours(480_000, YEARS_H)
    alike = np.corrcoef(found[:-lag_h], found[lag_h:])[0, 1]
    assert alike == pytest.approx(np.exp(-lag_h / 20.0), abs=0.06)


def test_value_of_an_hour_depends_on_the_hour_alone() -> None:
    whole = Swing(5, "air mass", 30.0).at_hours(490_000, 200)
    part = Swing(5, "air mass", 30.0).at_hours(490_111, 7)
    assert whole[111:118] == pytest.approx(part, abs=1e-12)


@pytest.mark.parametrize(("seed", "name"), [(6, "air mass"), (5, "moisture")])
def test_other_seed_or_name_is_independent(seed: int, name: str) -> None:
    one = Swing(5, "air mass", 5.0).at_hours(480_000, YEARS_H)
    other = Swing(seed, name, 5.0).at_hours(480_000, YEARS_H)
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.05
