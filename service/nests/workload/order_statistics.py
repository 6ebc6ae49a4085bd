"""What a few numbers tell of their middle, and of the next one, whatever their spread. Pure.

Nothing is supposed of the numbers but that they come alike and one by one. The interval of the
median goes from the k-th smallest to the k-th largest, by the binomial distribution of how many
lie below the median; the span of the next one follows because each gap between sorted numbers
is as likely to take it as any other. Both stand in David and Nagaraja, Order Statistics, 3rd
edition (2003), section 7 (from memory: the place, not the formulas).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb
from statistics import median

LEVEL = 0.90
"""Of ten such intervals nine or more hold the true median."""

COVER = 0.80
"""The next number lies within its span eight times in ten or more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Middle:
    """``value`` is the median, ``low`` to ``high`` its interval, ``count`` how many numbers."""

    value: float
    low: float
    high: float
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Where the next number lies, with probability ``cover`` or more."""

    low: float
    high: float
    cover: float


def middle(numbers: Sequence[float], level: float = LEVEL) -> Middle | None:
    """The median with its interval; None where there are too few for an interval of that level.

    Five are enough for 0.90, six for 0.95.
    """
    rank = rank_of_interval(len(numbers), level)
    if rank is None:
        return None
    told = sorted(numbers)
    return Middle(value=median(told), low=told[rank - 1], high=told[-rank], count=len(told))


def rank_of_interval(count: int, level: float = LEVEL) -> int | None:
    """The largest k for which the k-th smallest to the k-th largest of ``count`` numbers hold
    the median with probability ``level`` or more; None where no k does.
    """
    outside, rank = 0.0, 0
    while rank < count // 2:
        outside += comb(count, rank) / 2**count
        if 1 - 2 * outside < level:
            break
        rank += 1
    return rank or None


def spread(numbers: Sequence[float], cover: float = COVER) -> Spread | None:
    """The narrowest even span in which the next number lies; None where there are too few.

    Nine are enough for 0.80.
    """
    told = sorted(numbers)
    count = len(told)
    rank = int((count + 1) * (1 - cover) / 2 + 1e-9)
    if rank < 1:
        return None
    return Spread(low=told[rank - 1], high=told[-rank], cover=(count + 1 - 2 * rank) / (count + 1))
