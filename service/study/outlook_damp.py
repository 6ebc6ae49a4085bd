"""The chance of condensation by the lowest margin that is foreseen. Pure.

Logistic regression of three numbers towards stated ones, by Newton's method; the stated ones
count as thirty nights.
"""

import numpy as np

from service.climate.outlook.model import DampModel, Widths
from service.study.outlook_prior import DampPrior, Numbers
from service.study.outlook_ridge import fit_fall, sizes, standardised
from service.study.outlook_table import HourTable

PRIOR_NIGHTS = 30.0
_STEPS = 12
_SHARES = (1.0, 0.5, 0.25, 0.1, 0.02)
_UNIT_K = 3.0


def fit_damp(prior: DampPrior, table: HourTable, weights: Numbers) -> DampModel:
    """Fit to those nights whose margin was told; there may be none."""
    told = ~np.isnan(table.margin_k) & ~np.isnan(table.least_margin_k)
    known, counts = table.only(told), weights[told]
    falls = known.margin_k - known.least_margin_k
    fit = fit_fall(prior.margin, standardised(prior.margin, known.features), falls, counts)
    middle = fit.left_out + fit.reach[1] * sizes(prior.margin, fit.left_out)
    lowest = np.minimum(known.margin_k - middle, _so_far(known))
    seen = ~np.isnan(known.wet)
    x = chances_by(lowest, known.wet_before)[seen]
    logit = fit_logit(prior, x, known.wet[seen], counts[seen])
    return DampModel(margin=fit.model(Widths()), logit=logit)


def chances_by(lowest_margin_k: Numbers, wet_before: Numbers) -> Numbers:
    """The three columns that the chance goes by."""
    ones = np.ones(len(lowest_margin_k))
    return np.column_stack([ones, lowest_margin_k / _UNIT_K, wet_before])


def fit_logit(
    prior: DampPrior, x: Numbers, wet: Numbers, weights: Numbers
) -> tuple[float, float, float]:
    """The three numbers; those of the prior where there is no night."""
    stated = np.array(prior.logit)
    pull = PRIOR_NIGHTS * np.array(prior.information).reshape(3, 3)

    def likely(b: Numbers) -> float:
        by = x @ b
        return float(
            weights @ (wet * by - np.logaddexp(0.0, by)) - 0.5 * (b - stated) @ pull @ (b - stated)
        )

    b = stated
    for _ in range(_STEPS):
        chance = 1.0 / (1.0 + np.exp(-np.clip(x @ b, -30.0, 30.0)))
        slope = x.T @ (weights * (wet - chance)) - pull @ (b - stated)
        bend = x.T @ (x * (weights * chance * (1.0 - chance))[:, None]) + pull
        step = np.linalg.lstsq(bend, slope, rcond=None)[0]
        before = likely(b)
        # Far from the top a whole step may lead further off.
        share = next((part for part in _SHARES if likely(b + part * step) >= before), 0.0)
        b = b + share * step
    return (float(b[0]), float(b[1]), float(b[2]))


def _so_far(table: HourTable) -> Numbers:
    """The lowest margin before the issue; where there was none it bounds nothing."""
    least = [issue.least_margin_so_far_k for issue in table.issues]
    return np.array([np.inf if value is None else value for value in least], dtype=np.float64)
