"""Minutes that a day may take, as chances. Pure.

Work that may or may not fall on a day is a small table of minutes and their chances; what
comes together is added up exactly, in steps of half a minute, as if one did not know of the
other.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

STEP_MIN = 0.5

_NEVER = 1e-12
"""What is less likely than this is left out: it only costs time."""

Chances = Mapping[float, float]
"""Minutes to the chance that it is so; the chances add up to 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Minutes:
    """``mean`` is what it comes to on the average, ``low`` to ``high`` hold it."""

    mean: float
    low: float
    high: float


def perhaps(minutes: float, chance: float) -> dict[float, float]:
    """Work of so many minutes that falls on the day with this chance."""
    if minutes < 0 or not 0 <= chance <= 1:
        raise ValueError(f"{minutes} minutes with the chance {chance} are no work")
    if minutes == 0 or chance == 0:
        return {0.0: 1.0}
    if chance == 1:
        return {float(minutes): 1.0}
    return {0.0: 1 - chance, float(minutes): chance}


def together(parts: Iterable[Chances]) -> dict[float, float]:
    """All of it on one day."""
    steps = {0: 1.0}
    for part in parts:
        added: dict[int, float] = {}
        for minutes, chance in part.items():
            more = round(minutes / STEP_MIN)
            for step, before in steps.items():
                added[step + more] = added.get(step + more, 0.0) + before * chance
        steps = {step: chance for step, chance in added.items() if chance > _NEVER}
    return {step * STEP_MIN: chance for step, chance in steps.items()}


def mean(chances: Chances) -> float:
    """What it comes to on the average [min]."""
    return sum(minutes * chance for minutes, chance in chances.items())


def quantile(chances: Chances, share: float) -> float:
    """The fewest minutes that are not exceeded with the chance ``share``, from 0 to 1."""
    reached = 0.0
    for minutes in sorted(chances):
        reached += chances[minutes]
        if reached >= share - 1e-9:
            return minutes
    return max(chances)


def mixed(told: Iterable[tuple[float, Chances]]) -> dict[float, float]:
    """One of several comes, each with its chance; the chances of the several add up to 1."""
    chances: dict[float, float] = {}
    for share, one in told:
        for minutes, chance in one.items():
            chances[minutes] = chances.get(minutes, 0.0) + share * chance
    return chances
