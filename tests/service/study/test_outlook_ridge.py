"""A fall fitted to nights and a prior, against other programs and brute force."""

import numpy as np
import pytest
import statsmodels.api as sm  # type: ignore[import-untyped]

from service.climate.outlook.evaluate import low_band
from service.climate.outlook.features import FEATURES, Issue
from service.climate.outlook.model import Widths
from service.study.outlook_prior import FallPrior, Numbers, stated_prior
from service.study.outlook_ridge import (
    PRIOR_NIGHTS,
    fit_fall,
    sizes,
    solved,
    standardised,
    weighted_quantiles,
)

PRIOR = stated_prior().hours[0].outdoors
RNG = np.random.default_rng(7)
NIGHTS = 328
FEATURES_OF = RNG.normal(0.0, 3.0, (NIGHTS, len(FEATURES)))
FEATURES_OF[:, 0] = 1.0
FEATURES_OF[::7, 5] = np.nan  # some falls of last night were not told
Z = standardised(PRIOR, FEATURES_OF)
FALLS = Z @ np.array(PRIOR.weights) + RNG.normal(0.0, 1.0, NIGHTS)
WEIGHTS = RNG.uniform(0.3, 1.0, NIGHTS)


def _stated(prior: FallPrior) -> Numbers:
    return PRIOR_NIGHTS * (prior.square + 0.05 * np.eye(len(prior.names)))


def test_the_weights_are_those_of_least_squares_with_the_prior_as_more_nights() -> None:
    # statsmodels' weighted least squares, of the nights and of rows that tell the prior.
    root = np.linalg.cholesky(_stated(PRIOR)).T
    found = sm.WLS(
        np.concatenate([FALLS, root @ np.array(PRIOR.weights)]),
        np.vstack([Z, root]),
        weights=np.concatenate([WEIGHTS, np.ones(len(root))]),
    ).fit()
    assert solved(PRIOR, Z, FALLS, WEIGHTS)[0] == pytest.approx(found.params, abs=1e-9)


def test_without_nights_the_prior_stands() -> None:
    none = np.zeros((0, Z.shape[1]))
    fit = fit_fall(PRIOR, none, np.zeros(0), np.zeros(0))
    assert fit.weights == pytest.approx(np.array(PRIOR.weights), abs=1e-9)
    expected = np.quantile(PRIOR.errors, (0.9, 0.5, 0.1), method="hazen")
    assert fit.reach == pytest.approx(tuple(expected))


def test_each_night_is_left_out_as_if_the_fit_had_not_seen_it() -> None:
    fit = fit_fall(PRIOR, Z, FALLS, WEIGHTS)
    for k in (0, 100, 327):
        others = np.arange(NIGHTS) != k
        without, _ = solved(PRIOR, Z[others], FALLS[others], WEIGHTS[others])
        assert fit.left_out[k] == pytest.approx(Z[k] @ without, abs=1e-9)


def test_the_plain_answer_is_that_of_numpy() -> None:
    fit = fit_fall(PRIOR, Z, FALLS, WEIGHTS)
    model = fit.model(Widths())
    foreseen = Z @ fit.weights
    size = sizes(PRIOR, foreseen)
    for k in range(NIGHTS):
        told = tuple(None if np.isnan(x) else float(x) for x in FEATURES_OF[k])
        band = low_band(model, None, Issue(hour=0, shed_c=10.0, features=told))
        numpy_says = [10.0 - foreseen[k] - size[k] * reach for reach in fit.reach]
        assert [band.p10, band.p50, band.p90] == pytest.approx(numpy_says, abs=1e-9)


def test_stretching_moves_the_ends_and_not_the_middle() -> None:
    fit = fit_fall(PRIOR, Z, FALLS, WEIGHTS)
    low, middle, high = fit.model(Widths()).reach
    wider = fit.model(Widths(below=np.log(2.0), above=0.0)).reach
    assert wider == pytest.approx((middle + 2.0 * (low - middle), middle, high))


def test_quantiles_of_equal_weights_are_hazens() -> None:
    # numpy's own quantiles by the same definition (Hazen's).
    values = RNG.normal(size=37)
    own = weighted_quantiles(values, np.ones(37), (0.1, 0.5, 0.9))
    assert own == pytest.approx(np.quantile(values, (0.1, 0.5, 0.9), method="hazen"))


def test_a_value_that_counts_twice_is_two_values() -> None:
    twice = weighted_quantiles(np.array([1.0, 2.0, 3.0]), np.array([1.0, 2.0, 1.0]), (0.5,))
    assert twice == pytest.approx((2.0,))


def test_the_stated_prior_is_a_possible_one_at_every_hour() -> None:
    for hour in stated_prior().hours.values():
        for prior in (hour.shed, hour.outdoors, hour.damp.margin, hour.damp_outdoors.margin):
            assert np.linalg.eigvalsh(prior.square).min() > -1e-4
            assert np.all(np.array(prior.sd) > 0.0)
            assert sorted(prior.errors) == list(prior.errors)
