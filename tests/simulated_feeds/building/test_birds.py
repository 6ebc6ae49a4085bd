"""Heat of birds, as Weathers and Schoenbaechler (1976) measured it."""

import numpy as np
import pytest

from simulated_feeds.building.birds import heat_w_per_g, least_w_per_g

# Their abstract: 5.65 - 0.127 T below 29 °C; 2.55 by day and 1.96 ml/(g h) at night. 20.1 J a ml
# (from memory).
J_PER_ML = 20.1
DAY = float(least_w_per_g(np.array([400.0]))[0])
NIGHT = float(least_w_per_g(np.array([0.0]))[0])


def ml(watts_per_g: float) -> float:
    return watts_per_g * 3600.0 / J_PER_ML


@pytest.mark.parametrize(("temperature_c", "expected"), [(0.0, 5.65), (10.0, 4.38), (20.0, 3.11)])
def test_bird_in_the_cold_uses_what_was_measured(temperature_c: float, expected: float) -> None:
    assert ml(heat_w_per_g(temperature_c, NIGHT)) == pytest.approx(expected)


def test_bird_in_the_warm_uses_more_by_day_than_at_night() -> None:
    assert ml(heat_w_per_g(33.0, DAY)) == pytest.approx(2.55)
    assert ml(heat_w_per_g(33.0, NIGHT)) == pytest.approx(1.96)


def test_night_in_frost_costs_about_what_was_measured_in_winter() -> None:
    """Gavrilov (2015), table 1: 76.2 kJ a day for a resting bird of 33.6 g at 0 °C at night.

    Another study with other birds; within a third.
    """
    kj_a_day = 33.6 * heat_w_per_g(0.0, NIGHT) * 86.4
    assert kj_a_day == pytest.approx(76.2, rel=1 / 3)
