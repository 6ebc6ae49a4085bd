"""What a heater with a thermostat does to the lows, learned from the nights. Pure.

Nights on which it held its setting tell little of how far the shed would have fallen: for them
a fall at least as deep is supposed (censored), by the fit itself, three times over.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.climate.outlook.model import HeaterMap
from service.climate.outlook.night_row import NightRow
from service.study.outlook_prior import FallPrior, Numbers
from service.study.outlook_ridge import FallFit, fit_fall, solved, weighted_quantiles

_ABOVE_K, _BELOW_K = 0.5, 0.7
_SURELY_K = 0.3
_ROUNDS = 3
_LIFT_K = 8.0
_FEWEST_NIGHTS = 3
_PILE_NIGHTS, _PILED = 14, 7
_PILE_K, _OUTDOORS_K = 0.4, 4.0
"""Chosen on simulated sheds: none of 4,905 nights without a heater piled up so, and a heater of
300 W at 12 °C was seen in 7 of 9 trials, in 5 within a fortnight. A thermostat that plays by
more than this pile is wide is not seen."""

_PLAY_K = (-0.4, -0.2, 0.0, 0.2, 0.4)
"""Where the low lies about the setting before any night told: a guess of a thermostat's play,
no source; it counts as one night."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heated:
    """A fit of the shed as if it were not heated, and what the heater makes of it."""

    fit: FallFit
    heater: HeaterMap


def fit_heated(
    prior: FallPrior,
    z: Numbers,
    nights: tuple[Numbers, Numbers],
    weights: Numbers,
    thermostat_c: float,
) -> Heated:
    """Fit a shed with a heater.

    Args:
        prior: of this kind and hour, of unheated sheds.
        z: the nights' features, standardised; may have no rows.
        nights: the shed at issue and the low of each night [°C].
        weights: how much each counts.
        thermostat_c: the setting, as the keeper declared it [°C].
    """
    now_c, low_c = nights
    held = (low_c < thermostat_c + _ABOVE_K) & (low_c >= thermostat_c - _BELOW_K)
    falls = now_c - low_c
    for _ in range(_ROUNDS):
        b, _inverse = solved(prior, z, falls, weights)
        unheated = np.minimum(now_c - z @ b, thermostat_c - _SURELY_K)
        falls = np.where(held, now_c - unheated, now_c - low_c)
    saturated = low_c < thermostat_c - _BELOW_K
    lift_k = _LIFT_K
    if np.count_nonzero(saturated) >= _FEWEST_NIGHTS:
        supposed = now_c - z @ np.array(prior.weights)
        lift_k = max(0.0, float(np.median((low_c - supposed)[saturated])))
        falls = np.where(saturated, falls + lift_k, falls)
    return Heated(
        fit=fit_fall(prior, z, falls, weights, told=~held),
        heater=HeaterMap(
            thermostat_c=thermostat_c,
            lift_k=lift_k,
            floor_k=_floor(low_c[held] - thermostat_c, weights[held]),
        ),
    )


def falls_short(rows: Sequence[NightRow], thermostat_c: float | None) -> bool:
    """Whether the heater did not hold its setting in each of the last three nights."""
    lows = [row.low_c for row in rows[-_FEWEST_NIGHTS:] if row.low_c is not None]
    if thermostat_c is None or len(lows) < _FEWEST_NIGHTS:
        return False
    return max(lows) < thermostat_c - _BELOW_K


def piled_at_c(rows: Sequence[NightRow], thermostat_c: float | None) -> float | None:
    """Where lows of the last two weeks have piled up, as above a heater nobody told of.

    None unless half of them lie within a few tenths of a kelvin while it was warmer and colder
    outdoors by several in those very nights; and None with a heater told, or too little known.
    """
    nights = sorted(
        (row.low_c, row.lowest_outdoors_c)
        for row in rows[-_PILE_NIGHTS:]
        if row.low_c is not None and row.lowest_outdoors_c is not None
    )
    if thermostat_c is not None or len(nights) < _PILE_NIGHTS:
        return None
    for lowest, _ in nights:
        pile = [night for night in nights if lowest <= night[0] <= lowest + _PILE_K]
        outdoors = [outdoors_c for _, outdoors_c in pile]
        if len(pile) >= _PILED and max(outdoors) - min(outdoors) >= _OUTDOORS_K:
            return float(np.median([low_c for low_c, _ in pile]))
    return None


def _floor(about_k: Numbers, weights: Numbers) -> tuple[float, float, float]:
    values = np.concatenate([about_k, _PLAY_K])
    counts = np.concatenate([weights, np.full(len(_PLAY_K), 1.0 / len(_PLAY_K))])
    low, middle, high = weighted_quantiles(values, counts, (0.1, 0.5, 0.9))
    return (low, middle, high)
