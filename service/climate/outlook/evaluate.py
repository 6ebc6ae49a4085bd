"""A fitted model's answer, in plain Python. Pure."""

import math
from dataclasses import dataclass

from service.climate.outlook.features import FEATURES, Issue
from service.climate.outlook.model import DampModel, FallModel, HeaterMap, UsualFall

LEAST_SIZE_K = 0.35
"""Errors are never supposed smaller than this, before they are stretched [K]."""

_TENTH = 1.2815515655446004
"""How many standard deviations the 10 % quantile of a normal distribution is off its middle."""

FAST_SD = 4.0
"""A fall this many standard deviations beyond the usual is none of a night."""

_LEAST_SD_K = 0.05
_PLACE = {name: k for k, name in enumerate(FEATURES)}
_MARGIN_UNIT_K = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """10, 50 and 90 % quantiles [°C], or [K] of a margin."""

    p10: float
    p50: float
    p90: float


def fall_k(model: FallModel, issue: Issue) -> float:
    """How far it should fall from now on [K]; unknown features count as usual."""
    total = 0.0
    for name, weight, usual in zip(model.names, model.weights, model.usual, strict=True):
        told = issue.features[_PLACE[name]]
        total += weight * (usual if told is None else told)
    return total


def size_k(model: FallModel, fall: float) -> float:
    """How large the errors of such a fall are [K]."""
    return max(LEAST_SIZE_K, model.size_k + model.size_per_k * fall)


def free_band(model: FallModel, issue: Issue, now: float) -> Band:
    """The lowest of the night when it is ``now`` now; what came so far is not yet seen."""
    fall = fall_k(model, issue)
    size = size_k(model, fall)
    low, middle, high = (now - fall - size * reach for reach in model.reach)
    return Band(p10=low, p50=middle, p90=high)


def heated(band: Band, heater: HeaterMap | None) -> Band:
    """The band with the heater's help."""
    if heater is None:
        return band
    values = (band.p10, band.p50, band.p90)
    lifted = sorted(
        _heated(value, floor, heater) for value, floor in zip(values, heater.floor_k, strict=True)
    )
    return Band(p10=lifted[0], p50=lifted[1], p90=lifted[2])


def _heated(value: float, floor_k: float, heater: HeaterMap) -> float:
    needed_k = heater.thermostat_c - value
    if needed_k <= 0.0:
        return value
    if needed_k <= heater.lift_k:
        return heater.thermostat_c + floor_k
    return value + heater.lift_k


def capped(band: Band, so_far: float | None) -> Band:
    """A low is not above what was lowest so far."""
    if so_far is None:
        return band
    return Band(p10=min(band.p10, so_far), p50=min(band.p50, so_far), p90=min(band.p90, so_far))


def low_band(model: FallModel, heater: HeaterMap | None, issue: Issue) -> Band:
    """Tonight's low [°C]."""
    free = free_band(model, issue, issue.shed_c)
    return capped(heated(free, heater), issue.low_so_far_c)


def chance_below(band: Band, limit_c: float, so_far: float | None = None) -> float:
    """The chance that the low is below a limit, 0 to 1; 1 where it was so already."""
    if so_far is not None and so_far < limit_c:
        return 1.0
    side = band.p50 - band.p10 if limit_c < band.p50 else band.p90 - band.p50
    sd = max(_LEAST_SD_K, side / _TENTH)
    return 0.5 * math.erfc((band.p50 - limit_c) / (sd * math.sqrt(2.0)))


def deviation(band: Band, low_c: float) -> float:
    """How far a low lay from the median, in standard deviations of its side, within 4."""
    side = band.p50 - band.p10 if low_c < band.p50 else band.p90 - band.p50
    return max(-4.0, min(4.0, (low_c - band.p50) / max(_LEAST_SD_K, side / _TENTH)))


def falls_fast(usual: UsualFall | None, issue: Issue) -> bool:
    """Whether the shed fell faster since lamps-off than nights before explain: a door, a pane.

    Beyond four standard deviations of those nights; unknown is no.
    """
    if usual is None or issue.fallen_k is None or issue.gap_at_off_k is None:
        return False
    expected = usual.constant_k + usual.per_k * issue.gap_at_off_k
    return issue.fallen_k - expected > FAST_SD * usual.sd_k


def chance_of_condensation(model: DampModel, issue: Issue, last_night: bool | None) -> float | None:
    """The chance of conditions for condensation, 0 to 1; None where the margin is not told."""
    middle = lowest_margin_k(model, issue)
    if middle is None:
        return None
    constant, by_margin, after_one = model.logit
    exponent = constant + by_margin * middle / _MARGIN_UNIT_K + after_one * bool(last_night)
    return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, exponent))))


def lowest_margin_k(model: DampModel, issue: Issue) -> float | None:
    """The median of the lowest margin of the night [K]."""
    margin = issue.of("margin")
    if margin is None:
        return None
    middle = free_band(model.margin, issue, margin).p50
    so_far = issue.least_margin_so_far_k
    return middle if so_far is None else min(middle, so_far)
