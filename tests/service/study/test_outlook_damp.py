"""The chance of condensation, against another program."""

from dataclasses import replace

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]

from service.study.outlook_damp import fit_logit
from service.study.outlook_prior import stated_prior


def test_logistic_numbers_are_those_of_statsmodels_where_the_prior_says_nothing() -> None:
    rng = np.random.default_rng(3)
    x = np.column_stack([np.ones(200), rng.normal(size=200), rng.integers(0, 2, 200)])
    wet = (rng.random(200) < 1.0 / (1.0 + np.exp(-(x @ [-0.5, -1.2, 0.7])))).astype(float)
    silent = replace(stated_prior().hours[0].damp, information=(0.0,) * 9)
    own = fit_logit(silent, x, wet, np.ones(200))
    assert own == pytest.approx(sm.Logit(wet, x).fit(disp=0).params, abs=1e-6)


def test_logistic_numbers_are_the_priors_without_nights() -> None:
    prior = stated_prior().hours[0].damp
    assert fit_logit(prior, np.zeros((0, 3)), np.zeros(0), np.zeros(0)) == prior.logit
