"""What an egg lost by the keeper's own scale, and the rest reckoned beside it.

Between two weighings the scale is the truth and nothing is reckoned. Before the first and after
the last the loss is reckoned from the air, by this egg's own conductance where the weighings lie
far enough apart to tell it. Pure.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from service.climate.egg_water import EggStay, Loss, reckoned_loss

TELLS_CONDUCTANCE_AFTER = timedelta(days=3)
"""In fewer days an egg loses less than a hand scale can tell well."""

MOST_A_DAY = 0.03
"""Whole shells lose about half of this at the most (table of Ar and Rahn's relation in dry air at
36 °C: 0.016 a day); cracked budgerigar eggs lost 0.056 and dried-up ones 0.080 a day (Baker, on
eggshell thickness and porosity in budgerigars; name and journal from memory)."""

_HALF_STEP = 1 / math.sqrt(12)
"""Standard deviation of a figure that was rounded, in steps of its last digit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EggWeighed:
    """What the scale read [g], at an instant."""

    at: datetime
    mass_g: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EggLoss:
    """``loss`` is of the whole time from laying to ``until``; None where too little is known.

    ``coverage`` is the share of that time that the box's sensor or the scale tells of.
    ``weighed`` is the scale's part, with the first and last weighing; ``doubt`` says why the
    weighings can't be an egg's, in which case they are not used.
    """

    loss: Loss | None
    coverage: float
    vapour_pa: float | None
    weighed: Loss | None = None
    between: tuple[EggWeighed, EggWeighed] | None = None
    doubt: str = ""


def egg_loss(stay: EggStay, weighings: Sequence[EggWeighed]) -> EggLoss:
    """The loss of an egg in its stay. ``weighings`` of the egg itself, in any order."""
    told = sorted(
        (one for one in weighings if stay.laid_at <= one.at <= stay.until), key=lambda one: one.at
    )
    if len(told) < 2 or told[0].at == told[-1].at:
        return _by_air(stay)
    first, last = told[0], told[-1]
    if doubt := _doubt(told):
        by_air = _by_air(stay)
        return EggLoss(
            loss=by_air.loss, coverage=by_air.coverage, vapour_pa=by_air.vapour_pa, doubt=doubt
        )
    return _by_scale(stay, first, last, _step_g(told))


def _by_air(stay: EggStay) -> EggLoss:
    found = reckoned_loss(stay, stay.laid_at, stay.until)
    return EggLoss(loss=found.loss, coverage=found.coverage, vapour_pa=found.vapour_pa)


def _by_scale(stay: EggStay, first: EggWeighed, last: EggWeighed, step_g: float) -> EggLoss:
    before = reckoned_loss(stay, stay.laid_at, first.at)
    after = reckoned_loss(stay, last.at, stay.until)
    meanwhile = reckoned_loss(stay, first.at, last.at)
    ahead = before.loss.middle if before.loss else 0.0
    fresh_g = first.mass_g / (1 - ahead)
    weighed = Loss(
        middle=max(0.0, first.mass_g - last.mass_g) / fresh_g,
        spread=math.sqrt(2) * step_g * _HALF_STEP / fresh_g,
    )
    own, doubt_of_own = 1.0, 0.0
    long_enough = last.at - first.at >= TELLS_CONDUCTANCE_AFTER
    if long_enough and meanwhile.loss and meanwhile.loss.middle:
        own = weighed.middle / meanwhile.loss.middle
        doubt_of_own = weighed.spread / meanwhile.loss.middle
    rest = [part.loss for part in (before, after) if part.loss is not None]
    reckoned = sum(part.middle for part in rest)
    whole = stay.until - stay.laid_at
    told = (
        (last.at - first.at)
        + before.coverage * (first.at - stay.laid_at)
        + after.coverage * (stay.until - last.at)
    )
    missing = [
        part
        for part, length in ((before, first.at - stay.laid_at), (after, stay.until - last.at))
        if part.loss is None and length > timedelta()
    ]
    # A coarse scale doubts the rest by more than what it weighed.
    spread = math.hypot(
        weighed.spread, doubt_of_own * reckoned, *(own * part.spread for part in rest)
    )
    middle = weighed.middle + own * reckoned
    return EggLoss(
        loss=None if missing else Loss(middle=middle, spread=spread),
        coverage=told / whole,
        vapour_pa=meanwhile.vapour_pa,
        weighed=weighed,
        between=(first, last),
    )


def _doubt(told: Sequence[EggWeighed]) -> str:
    for one, other in pairwise(told):
        days = (other.at - one.at) / timedelta(days=1)
        step = _step_g(told)
        lost = (one.mass_g - other.mass_g) / one.mass_g
        slip = step / one.mass_g
        if lost < -slip:
            return "an egg gains nothing: one of the weighings is of another egg, or a slip"
        if lost > MOST_A_DAY * days + slip:
            return (
                "so much goes only through a cracked shell, or one of the weighings is of "
                "another egg, or a slip"
            )
    return ""


def _step_g(told: Sequence[EggWeighed]) -> float:
    """The last digit of the scale, by the finest figure that it showed."""
    digits = max(_digits(one.mass_g) for one in told)
    return float(10**-digits)


def _digits(value: float) -> int:
    text = f"{value:.3f}".rstrip("0")
    return len(text) - text.index(".") - 1
