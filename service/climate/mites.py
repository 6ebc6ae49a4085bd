"""How many generations of the red mite the warmth since a treatment allows. Advisory.

A stage of *Dermanyssus gallinae* is done when its degree-hours above a base temperature are full
(constants of a Brazilian study of thermal requirements, authors from memory: Tucci, Prado and
Araujo). The second reckoning goes by the whole cycle as it was observed at five temperatures (a
thesis of 2004 on the mite's biology in the laboratory; author from memory: Tucci).

Limits: mites that were fed in a laboratory. Degree-hours run too fast in the cold (at 15 °C the
whole cycle took 24 % longer than they say) and above 30 °C, where none are added here. In a shed
mites wait for a meal. So this is the most that could have grown, and a reason to look; it never
says that there are none. Pure.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

STAGES = (
    ("egg", 10.60, 689.65),
    ("larva", 9.82, 464.91),
    ("protonymph", 10.17, 504.49),
    ("deutonymph", 11.80, 501.11),
    ("pre-oviposition", 3.4, 562.85),
)
"""Name, base [°C], degree-hours, in order. The last is the female's until she lays."""

WARMEST_THAT_COUNTS_C = 30.0
"""The observed cycle is shortest here and longer at 35 °C."""

OBSERVED_CYCLE_H = ((15.0, 690.75), (20.0, 263.12), (25.0, 164.63), (30.0, 140.69), (35.0, 172.04))
"""Whole cycle [h] at a constant temperature [°C]."""


def stage_hours(stage: str, temperature_c: float) -> float | None:
    """How long a stage takes [h] at a constant temperature; None where it never ends.

    Raises:
        KeyError: no such stage.
    """
    base_c, degree_hours = {name: (base, full) for name, base, full in STAGES}[stage]
    above = min(temperature_c, WARMEST_THAT_COUNTS_C) - base_c
    return degree_hours / above if above > 0 else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Generations:
    """By the slower and by the faster of both reckonings. ``least`` leaves unmeasured hours out,
    ``most`` takes them for as warm as the warmest that was measured. ``coverage`` of the time, 0
    to 1.
    """

    least: float
    most: float
    coverage: float


def generations(hours_c: Sequence[float | None]) -> Generations | None:
    """From egg to egg, with a part of one for what has begun.

    Args:
        hours_c: the mean temperature of each hour [°C] without a break since the treatment, None
            where nothing was measured.

    Returns:
        None where nothing was measured in any hour: nobody can tell.
    """
    told = [one for one in hours_c if one is not None]
    if not told:
        return None
    warmest = min(max(told), WARMEST_THAT_COUNTS_C)
    filled = [warmest if one is None else one for one in hours_c]
    return Generations(
        least=min(_by_cycles(told), degree_hour_generations(told)),
        most=max(_by_cycles(filled), degree_hour_generations(filled)),
        coverage=len(told) / len(hours_c),
    )


def _by_cycles(hours_c: Sequence[float]) -> float:
    cycles = (observed_cycle_h(one) for one in hours_c)
    return sum(1 / hours for hours in cycles if hours is not None)


def degree_hour_generations(hours_c: Sequence[float]) -> float:
    """Cycles done, stage after stage, hour after hour; the part of a cycle by its stages."""
    cycles, nth, done = 0, 0, 0.0
    for temperature_c in hours_c:
        left = 1.0
        while left > 0:
            _, base_c, full = STAGES[nth]
            rate = max(0.0, min(temperature_c, WARMEST_THAT_COUNTS_C) - base_c) / full
            if done + rate * left < 1:
                done += rate * left
                break
            left -= (1 - done) / rate
            done, nth = 0.0, nth + 1
            if nth == len(STAGES):
                cycles, nth = cycles + 1, 0
    return cycles + (nth + done) / len(STAGES)


def observed_cycle_h(temperature_c: float) -> float | None:
    """The whole cycle [h]: straight between the observed rates; None in the cold, where a stage
    never ends. Below 15 °C the rate falls straight to none at the highest base of any stage.
    """
    coldest_c = max(base for _, base, _ in STAGES)
    known = ((coldest_c, 0.0), *((at, 1 / hours) for at, hours in OBSERVED_CYCLE_H))
    if temperature_c <= coldest_c:
        return None
    warm_c = min(temperature_c, known[-1][0])
    for (low_c, slow), (high_c, fast) in pairwise(known):
        if warm_c <= high_c:
            return 1 / (slow + (fast - slow) * (warm_c - low_c) / (high_c - low_c))
    raise AssertionError("the last step reaches as far as any temperature that counts")
