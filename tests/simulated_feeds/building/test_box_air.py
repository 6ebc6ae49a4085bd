"""Boxes warmed from within are warmer and damper, late, and never beyond saturation."""

import numpy as np
import pytest

from simulated_feeds.building.box_air import box_air, followed
from simulated_feeds.building.parameters import BuildingParameters
from simulated_feeds.day import MINUTES
from simulated_feeds.moist_air import humidity_pct, saturation_pa

PRESET = BuildingParameters()
SHED_C = np.full(MINUTES, 12.0)
SHED_PA = 0.6 * saturation_pa(SHED_C)


def test_box_follows_exponentially() -> None:
    found = followed(np.ones(MINUTES), 0.0, 25.0)
    minutes = np.arange(1, MINUTES + 1)
    assert found == pytest.approx(1.0 - np.exp(-minutes / 25.0), abs=1e-9)


def test_empty_box_has_the_air_of_the_shed() -> None:
    found = box_air(PRESET, np.zeros(MINUTES), SHED_C, SHED_PA)
    assert np.array_equal(found.temperature_c, SHED_C)
    assert np.array_equal(found.vapour_pa, SHED_PA)


def test_warmed_box_is_warmer_and_damper() -> None:
    found = box_air(PRESET, np.ones(MINUTES), SHED_C, SHED_PA)
    assert np.all(found.temperature_c - SHED_C == pytest.approx(0.23 * (37.7 - 12.0)))
    assert np.all(found.vapour_pa - SHED_PA == pytest.approx(550.0))
    assert humidity_pct(found.temperature_c, found.vapour_pa)[0] > 63.0


def test_box_in_the_heat_of_a_body_is_warmed_no_more() -> None:
    hot = np.full(MINUTES, 40.0)
    found = box_air(PRESET, np.ones(MINUTES), hot, SHED_PA)
    assert np.array_equal(found.temperature_c, hot)


def test_air_in_a_box_is_never_beyond_saturation() -> None:
    soaked = BuildingParameters(box_vapour_pa=3_000.0)
    found = box_air(soaked, np.ones(MINUTES), SHED_C, SHED_PA)
    assert np.max(humidity_pct(found.temperature_c, found.vapour_pa)) < 99.0
