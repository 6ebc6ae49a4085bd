"""How long soft food keeps at the temperatures that it stood in.

Food is spent bit by bit: an hour at a temperature at which it keeps four hours spends a quarter
of it. How long it keeps at which temperature is the keeper's own table; the one here is common
practice, no source. Where nothing was measured the shortest time of the table is taken. Pure.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.climate.samples import Sample

LONGEST_H = 24.0
SHORTEST_H = 0.25
MS_IN_AN_HOUR = 3_600_000


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepsTo:
    """Up to this temperature [°C], itself included, food keeps so long [h]."""

    up_to_c: float
    hours: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Keeping:
    """``steps`` from cool to warm, each shorter than the one before or as long; ``hotter_h`` is
    how long food keeps above them all [h].

    Raises:
        ValueError: the steps don't rise, food keeps longer where it is warmer, or a time is not
            within SHORTEST_H and LONGEST_H.
    """

    steps: tuple[KeepsTo, ...]
    hotter_h: float

    def __post_init__(self) -> None:
        hours = (*(step.hours for step in self.steps), self.hotter_h)
        if any(not SHORTEST_H <= one <= LONGEST_H for one in hours):
            raise ValueError(f"food keeps {SHORTEST_H:g} to {LONGEST_H:g} hours")
        if any(later > earlier for earlier, later in pairwise(hours)):
            raise ValueError("food can't keep longer where it is warmer")
        if any(other.up_to_c <= one.up_to_c for one, other in pairwise(self.steps)):
            raise ValueError("the temperatures of the table must rise")

    def hours_at(self, temperature_c: float) -> float:
        """How long food keeps [h] at this temperature [°C]."""
        for step in self.steps:
            if temperature_c <= step.up_to_c:
                return step.hours
        return self.hotter_h


USUAL = Keeping(
    steps=(
        KeepsTo(up_to_c=15, hours=12),
        KeepsTo(up_to_c=20, hours=9),
        KeepsTo(up_to_c=25, hours=4),
        KeepsTo(up_to_c=30, hours=2),
    ),
    hotter_h=1,
)
"""Of soaked and cooked food and egg food: common practice, no source; the keeper's to change."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spent:
    """Shares of the food's time, 1 is sour. ``least`` counts unmeasured time for nothing,
    ``most`` by the shortest time of the table.
    """

    least: float
    most: float


def spent(
    told: Sequence[Sample], keeping: Keeping, since_ms: int, until_ms: int, max_gap_ms: int
) -> Spent:
    """What is spent between two instants [ms since 1970].

    Args:
        told: temperatures [°C] in order, those before ``since_ms`` included where known; each
            holds until the next, and no longer than ``max_gap_ms``.
    """
    known_ms, share = 0, 0.0
    ends = [at for at, _ in told[1:]] + [until_ms]
    for (at, temperature_c), following in zip(told, ends, strict=False):
        begin = max(at, since_ms)
        end = min(following, at + max_gap_ms, until_ms)
        if end > begin:
            known_ms += end - begin
            share += (end - begin) / MS_IN_AN_HOUR / keeping.hours_at(temperature_c)
    unknown_h = max(0, until_ms - since_ms - known_ms) / MS_IN_AN_HOUR
    return Spent(least=share, most=share + unknown_h / keeping.hotter_h)
