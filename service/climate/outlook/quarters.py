"""Means of a quarter of an hour, which is all that the outlook sees of the readings. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime

QUARTER_S = 900
IN_AN_HOUR = 4

_FROZEN_QUARTERS = 3 * IN_AN_HOUR
"""An outdoor thermometer that tells the very same for three hours is stuck, not steady."""

_SAME_K = 1e-6

Means = Sequence[float | None]


def quarter(at: datetime) -> int:
    """The number of the quarter of an hour [UTC] in which ``at`` lies."""
    return int(at.timestamp() // QUARTER_S)


def begin_of(number: int) -> datetime:
    """When that quarter of an hour begins [UTC]."""
    return datetime.fromtimestamp(number * QUARTER_S, UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Quarters:
    """Means of the shed's air, its dew point, outdoors and the coldest surface [°C].

    Element ``k`` is the mean of quarter ``first + k``, None where too little was told. All may
    be shorter than the shed's, or empty: what is beyond the end was not told.
    """

    first: int
    shed_c: Means
    dew_c: Means = field(default=())
    outdoors_c: Means = field(default=())
    surface_c: Means = field(default=())

    def at(self, means: Means, number: int) -> float | None:
        """The mean of one quarter; of the one before where that was not told."""
        here = self._exactly(means, number)
        return here if here is not None else self._exactly(means, number - 1)

    def between(self, means: Means, since: int, until: int) -> list[float | None]:
        """The means of the quarters ``since <= number < until``, one for each."""
        return [self._exactly(means, number) for number in range(since, until)]

    def outdoors_frozen(self, number: int) -> bool:
        """Whether the outdoor thermometer has told the very same up to that quarter."""
        told = self.between(self.outdoors_c, number + 1 - _FROZEN_QUARTERS, number + 1)
        known = [value for value in told if value is not None]
        return len(known) == _FROZEN_QUARTERS and max(known) - min(known) < _SAME_K

    def _exactly(self, means: Means, number: int) -> float | None:
        place = number - self.first
        return means[place] if 0 <= place < len(means) else None
