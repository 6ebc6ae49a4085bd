"""Chances and risks."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simulated_feeds.birds.conditions import Condition
from simulated_feeds.birds.parameters import Reference, usual_conditions
from simulated_feeds.birds.survival import chance_of, chick_risk, embryo_risk, logit, moved_by

SHARES = st.floats(0.001, 0.999)


@given(SHARES)
def test_logit_and_chance_undo_each_other(share: float) -> None:
    assert chance_of(logit(share)) == pytest.approx(share)


def test_logit_of_three_quarters_is_the_logarithm_of_three() -> None:
    assert logit(0.75) == pytest.approx(math.log(3))  # by its definition


@given(st.floats(-4, 4))
def test_all_of_the_risk_is_gathered_by_hatching(log_odds: float) -> None:
    assert embryo_risk(1.0, log_odds) == pytest.approx(1 - chance_of(log_odds))
    assert chick_risk(14.0, log_odds) == pytest.approx(1 - chance_of(log_odds))
    assert chick_risk(30.0, log_odds) == chick_risk(14.0, log_odds)


@given(st.floats(0, 1), st.floats(0, 1), st.floats(-4, 4))
def test_risk_never_falls_with_age(one: float, other: float, log_odds: float) -> None:
    younger, older = sorted((one, other))
    assert embryo_risk(younger, log_odds) <= embryo_risk(older, log_odds) + 1e-12
    assert chick_risk(20 * younger, log_odds) <= chick_risk(20 * older, log_odds) + 1e-12


def test_an_effect_counts_standard_deviations_from_the_mean() -> None:
    references = {Condition.WATER_LOSS: Reference(mean=0.15, sd=0.025)}
    moved = moved_by({Condition.WATER_LOSS: -0.6}, references, {Condition.WATER_LOSS: 0.20})
    assert moved == pytest.approx(-0.6 * 2)


def test_what_is_not_known_moves_nothing() -> None:
    effects = {Condition.WATER_LOSS: -0.6, Condition.NIGHT_LOW_SITTING: 1.0}
    lived = {Condition.NIGHT_LOW_SITTING: math.nan}
    assert moved_by(effects, usual_conditions(), lived) == 0.0
