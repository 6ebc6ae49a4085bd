"""A linear fall fitted to nights and to the stated prior, with its errors as a table. Pure.

Ridge regression towards stated weights: the prior counts as so many nights of its own kind.
The errors are those that each night would have had without itself (leave-one-out), divided by
the size that is supposed of them, and kept as a weighted table whose quantiles bound the bands
(conformal prediction: Vovk, Gammerman and Shafer, Algorithmic Learning in a Random World, 2005,
from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.climate.outlook.evaluate import LEAST_SIZE_K
from service.climate.outlook.features import FEATURES
from service.climate.outlook.model import FallModel, Widths
from service.study.outlook_prior import Chosen, FallPrior, Numbers

PRIOR_NIGHTS = 60.0
"""As so many nights the prior counts in the weights."""

TABLE_NIGHTS = 10.0
"""As so many nights its errors count in the table."""

HALF_LIFE_DAYS = 90.0
"""A night that old counts half."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FallFit:
    """The fit before it is stretched: weights in the prior's units, and the error quantiles.

    ``left_out`` is the fall foreseen for each night by the fit without it [K].
    """

    prior: FallPrior
    weights: Numbers
    left_out: Numbers
    reach: tuple[float, float, float]

    def model(self, widths: Widths) -> FallModel:
        """As it is used: with raw weights, and errors stretched about their middle."""
        p = self.prior
        sd, mean = np.array(p.sd), np.array(p.mean)
        raw = self.weights / sd
        raw[0] = self.weights[0] - float(np.sum((raw * mean)[1:]))
        low, middle, high = self.reach
        return FallModel(
            names=p.names,
            weights=tuple(raw.tolist()),
            usual=(1.0, *p.mean[1:]),
            size_k=p.size_k,
            size_per_k=p.size_per_k,
            reach=(
                middle + (low - middle) * float(np.exp(widths.below)),
                middle,
                middle + (high - middle) * float(np.exp(widths.above)),
            ),
        )


def standardised(prior: FallPrior, features: Numbers) -> Numbers:
    """Rows of all features as the prior's own; what was not told is as usual, so 0."""
    chosen = features[:, [FEATURES.index(name) for name in prior.names]]
    found = (chosen - np.array(prior.mean)) / np.array(prior.sd)
    found[np.isnan(found)] = 0.0
    found[:, 0] = 1.0
    return np.asarray(found)


def sizes(prior: FallPrior, falls: Numbers) -> Numbers:
    """How large the errors of such falls are supposed [K]."""
    return np.maximum(LEAST_SIZE_K, prior.size_k + prior.size_per_k * falls)


def fit_fall(
    prior: FallPrior,
    z: Numbers,
    falls: Numbers,
    weights: Numbers,
    *,
    told: Chosen | None = None,
) -> FallFit:
    """Fit.

    Args:
        prior: of this kind and hour.
        z: the nights' features, standardised; may have no rows.
        falls: what each night fell [K].
        weights: how much each counts, 0 to 1.
        told: nights whose error may stand in the table; None for all. A heater hides others'.
    """
    b, inverse = solved(prior, z, falls, weights)
    foreseen = z @ b
    leverage = np.minimum(0.95, weights * np.einsum("ij,jk,ik->i", z, inverse, z))
    off = (falls - foreseen) / (1.0 - leverage)
    errors = off / sizes(prior, foreseen)
    seen = np.ones(len(falls), dtype=bool) if told is None else told
    values = np.concatenate([errors[seen], prior.errors])
    own = np.full(len(prior.errors), TABLE_NIGHTS / len(prior.errors))
    table = np.concatenate([weights[seen], own])
    high, middle, low = weighted_quantiles(values, table, (0.1, 0.5, 0.9))
    return FallFit(prior=prior, weights=b, left_out=falls - off, reach=(low, middle, high))


def solved(
    prior: FallPrior, z: Numbers, falls: Numbers, weights: Numbers
) -> tuple[Numbers, Numbers]:
    """The weights, and the inverse of the information that they rest on."""
    stated = PRIOR_NIGHTS * (prior.square + 0.05 * np.eye(len(prior.names)))
    weighed = z * weights[:, None]
    inverse = np.linalg.inv(weighed.T @ z + stated)
    found = inverse @ (weighed.T @ falls + stated @ np.array(prior.weights))
    return np.asarray(found), np.asarray(inverse)


def weighted_quantiles(values: Numbers, weights: Numbers, at: Sequence[float]) -> tuple[float, ...]:
    """Quantiles of values that count unequally; there must be one that counts."""
    order = np.argsort(values)
    reached = np.cumsum(weights[order]) - 0.5 * weights[order]
    return tuple(np.interp(at, reached / np.sum(weights), values[order]).tolist())
