"""Chances of an egg and of a chick, from what it has lived through. Pure.

Each has a threshold of its own, drawn once and even between 0 and 1. The risk gathered so far
grows with age; when it passes the threshold the embryo or the chick dies. At the end of the
window the risk is 1 minus the logistic chance of all that was lived through, so that fates
follow a logistic regression on the conditions, and the deaths before it are spread over time.
"""

import math
from collections.abc import Mapping

from simulated_feeds.birds.conditions import REARING_DAYS, Condition
from simulated_feeds.birds.parameters import Reference

# Embryos die in the first and in the last third, few between (general of birds' eggs, from
# memory); three of four late: model.
_EARLY_END, _LATE_BEGIN, _EARLY_SHARE = 0.3, 0.7, 0.25


def logit(share: float) -> float:
    """Log-odds of a share between 0 and 1."""
    return math.log(share / (1 - share))


def chance_of(log_odds: float) -> float:
    """The share that has these log-odds."""
    return 1 / (1 + math.exp(-log_odds))


def moved_by(
    effects: Mapping[Condition, float],
    references: Mapping[Condition, Reference],
    lived: Mapping[Condition, float],
) -> float:
    """Log-odds by which the conditions move a chance; one that is not known yet by nothing."""
    moved = 0.0
    for condition, effect in effects.items():
        value = lived.get(condition, math.nan)
        if effect and not math.isnan(value):
            usual = references[condition]
            moved += effect * (value - usual.mean) / usual.sd
    return moved


def embryo_risk(progress: float, log_odds: float) -> float:
    """That it is dead by now, at a progress from 0 (growth begins) to 1 (would hatch)."""
    early = _EARLY_SHARE * min(1.0, progress / _EARLY_END)
    late = (1 - _EARLY_SHARE) * max(0.0, (progress - _LATE_BEGIN) / (1 - _LATE_BEGIN))
    return (early + late) * (1 - chance_of(log_odds))


def chick_risk(age_days: float, log_odds: float) -> float:
    """That it is dead by now; after the window of rearing no more is added."""
    return float(min(1.0, age_days / REARING_DAYS) ** 0.7) * (1 - chance_of(log_odds))
