"""A share with what it rests on, and how far it can be trusted. Pure.

Intervals are those of Clopper and Pearson, Biometrika 26 (1934) 404-413: they hold the truth at
least as often as they say, also for few eggs. The difference of two shares is Newcombe's method
10, Statistics in Medicine 17 (1998) 873-890, from Wilson's intervals. All take each egg for a
trial of its own; eggs of one clutch share their parents and their box, so the true doubt is
larger than either says.
"""

from dataclasses import dataclass
from math import exp, lgamma, log, sqrt
from statistics import NormalDist

LEVEL = 0.90
"""Of ten such intervals nine or more hold the truth."""

WIDEST_THAT_SAYS = 0.5
"""An interval wider than half of all that is possible says too little to be told as a share."""

_HALVINGS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """From ``low`` to ``high``, both shares or both differences of shares."""

    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """``count`` out of ``of``, those of which the answer is known."""

    count: int
    of: int

    def __post_init__(self) -> None:
        if not 0 <= self.count <= self.of:
            raise ValueError(f"{self.count} of {self.of} is no share")

    @property
    def value(self) -> float | None:
        """The share itself; None where nothing is known."""
        return self.count / self.of if self.of else None

    def interval(self, level: float = LEVEL) -> Interval | None:
        """Where the truth behind the share lies; None where nothing is known."""
        if not self.of:
            return None
        tail = (1 - level) / 2
        low = 0.0 if self.count == 0 else _where_tail_is(tail, self.count, self.of)
        high = 1.0
        if self.count < self.of:
            high = 1 - _where_tail_is(tail, self.of - self.count, self.of)
        return Interval(low=low, high=high)

    @property
    def says_something(self) -> bool:
        """Whether its interval is narrow enough to be told as a share."""
        interval = self.interval()
        return interval is not None and interval.high - interval.low <= WIDEST_THAT_SAYS


def difference(one: Share, other: Share, level: float = LEVEL) -> Interval | None:
    """By how much ``one`` is larger than ``other``; None where one of them is not known."""
    if one.value is None or other.value is None:
        return None
    first, second = wilson(one, level), wilson(other, level)
    apart = one.value - other.value
    below = sqrt((one.value - first.low) ** 2 + (second.high - other.value) ** 2)
    above = sqrt((first.high - one.value) ** 2 + (other.value - second.low) ** 2)
    return Interval(low=apart - below, high=apart + above)


def wilson(share: Share, level: float = LEVEL) -> Interval:
    """Wilson, J. American Statistical Association 22 (1927) 209-212, without correction.

    Raises:
        ValueError: nothing is known.
    """
    if share.value is None:
        raise ValueError("a share of nothing has no interval")
    z = NormalDist().inv_cdf((1 + level) / 2)
    spread = z * z / share.of
    middle = share.value + spread / 2
    half = z * sqrt((share.value * (1 - share.value) + spread / 4) / share.of)
    return Interval(
        low=max(0.0, (middle - half) / (1 + spread)),
        high=min(1.0, (middle + half) / (1 + spread)),
    )


def _where_tail_is(tail: float, count: int, of: int) -> float:
    """The share at which ``count`` or more out of ``of`` happen with probability ``tail``.

    ``count`` is 1 or more. By halving: the probability grows with the share.
    """
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if _at_least(count, of, middle) < tail:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _at_least(count: int, of: int, share: float) -> float:
    """The binomial probability of ``count`` or more; by logarithms, so that no number is too
    large.
    """
    if share in (0.0, 1.0):
        return share
    logs = (
        lgamma(of + 1)
        - lgamma(k + 1)
        - lgamma(of - k + 1)
        + k * log(share)
        + (of - k) * log(1 - share)
        for k in range(count, of + 1)
    )
    return sum(exp(one) for one in logs)
