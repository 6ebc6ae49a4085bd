"""Nights of the simulated shed: the dark times between two bright ones, found day by day."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from simulated_feeds.day import MINUTE

_SHORTEST_MINUTES = 60

Columns = dict[str, NDArray[np.float64]]
"""By name, a number for every minute."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DarkTime:
    """``since`` is its first dark minute; every column has a number for each minute."""

    since: datetime
    columns: Columns

    @property
    def until(self) -> datetime:
        """The first minute of light."""
        return self.since + len(next(iter(self.columns.values()))) * MINUTE


@dataclass(slots=True, kw_only=True)
class DarkTimes:
    """A dark time is told when light ends it: an hour at least, and with light before it."""

    below_lx: float
    _light_before: bool = False
    _since: datetime | None = None
    _parts: list[Columns] = field(default_factory=list)

    def minutes(
        self, at: datetime, light_lx: NDArray[np.float64], columns: Columns
    ) -> Iterator[DarkTime]:
        """Take the next minutes, from ``at`` on without a gap; tell what ended in them."""
        dark = light_lx < self.below_lx
        edges = [0, *(np.flatnonzero(np.diff(dark)) + 1).tolist(), len(dark)]
        for first, end in pairwise(edges):
            if first == end:
                continue
            if dark[first]:
                self._since = self._since or at + first * MINUTE
                self._parts.append({name: all_[first:end] for name, all_ in columns.items()})
            else:
                yield from self._ended()

    def _ended(self) -> Iterator[DarkTime]:
        if self._since is not None and self._light_before:
            joined = {
                name: np.concatenate([part[name] for part in self._parts])
                for name in self._parts[0]
            }
            found = DarkTime(since=self._since, columns=joined)
            if found.until - found.since >= _SHORTEST_MINUTES * MINUTE:
                yield found
        self._light_before, self._since, self._parts = True, None, []
