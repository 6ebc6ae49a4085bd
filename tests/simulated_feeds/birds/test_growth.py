"""Chicks' masses. No published growth parameters of the species were found: shape alone."""

from dataclasses import dataclass
from statistics import mean

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from simulated_feeds.birds.growth import GrowthCurve
from tests.simulated_feeds.birds.lived_seasons import wide_season


@dataclass(frozen=True)
class Growing:
    age_days: float
    grams: float


CURVE = GrowthCurve(
    hatch_g=1.5,
    peak_g=44.0,
    rate_a_day=0.29,
    loss_share=0.10,
    loss_from_days=25.0,
    leaves_days=32.0,
)


def test_curve_begins_at_the_mass_of_hatching() -> None:
    assert CURVE.mass_at(0.0) == pytest.approx(1.5)


def test_curve_grows_fastest_at_half_its_peak() -> None:
    # the logistic's turning point, by its definition
    ages = np.linspace(0, 24, 2401)
    masses = CURVE.mass_g(ages)
    steepest = ages[int(np.argmax(np.diff(masses)))]
    assert CURVE.mass_at(float(steepest)) == pytest.approx(22.0, abs=0.3)


@pytest.mark.parametrize(
    "told",
    [Growing(3, 4), Growing(7, 9), Growing(9, 16), Growing(12, 23), Growing(16.5, 30)],
    ids=lambda told: f"day {told.age_days}",
)
def test_curve_is_near_the_figures_that_hobby_texts_give(told: Growing) -> None:
    # pieced together from hobby texts, common practice, low trust: so within 6 g
    assert CURVE.mass_at(told.age_days) == pytest.approx(told.grams, abs=6)


def test_mass_falls_before_leaving_by_the_share_that_is_lost() -> None:
    # mass above the grown bird's, then some 10 % less: common practice, no source
    peak = max(CURVE.mass_g(np.linspace(0, 32, 3201)))
    assert CURVE.mass_at(32.0) == pytest.approx(0.9 * 44.0, rel=0.01)
    assert CURVE.mass_at(32.0) < 0.95 * peak
    assert CURVE.mass_at(40.0) == pytest.approx(CURVE.mass_at(32.0), rel=0.01)


@given(st.floats(0, 25), st.floats(0, 25))
def test_mass_never_falls_before_the_loss_begins(one: float, other: float) -> None:
    younger, older = sorted((one, other))
    assert CURVE.mass_at(younger) <= CURVE.mass_at(older) + 1e-9


def test_chicks_hatch_at_1_to_2_grams() -> None:
    # 1.4 to 2 g, 1 g: common practice, no source
    assert all(1.0 <= chick.hatch_g <= 2.0 for chick in wide_season().chicks)


def test_later_chicks_of_a_brood_leave_heavier() -> None:
    # Ethology 1989, doi 10.1111/j.1439-0310.1989.tb00765.x
    left = [chick for chick in wide_season().chicks if chick.left_at is not None]
    first = [chick.masses[-1][1] for chick in left if chick.rank == 0]
    last = [chick.masses[-1][1] for chick in left if chick.rank >= 3]
    assert mean(last) > mean(first)


def test_chicks_leave_at_28_to_36_days_but_for_the_early_ones() -> None:
    # 4 to 6 weeks, 30 to 35 d: common practice, no source
    ages = [
        ((chick.left_at - chick.hatched_at).total_seconds() / 86400, chick.early)
        for chick in wide_season().chicks
        if chick.left_at is not None
    ]
    assert len(ages) > 100
    assert all(28 <= age <= 37 for age, early in ages if not early)
    assert all(26 <= age < 29 for age, early in ages if early)
    assert 30 <= mean(age for age, _ in ages) <= 34
