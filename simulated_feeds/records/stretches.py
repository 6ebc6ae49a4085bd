"""Stretches of time that go on over the border between two days, joined."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from simulated_feeds.day import MINUTE

Span = tuple[datetime, datetime]


@dataclass(slots=True)
class Joined:
    """Spans of one thing in time order; one that begins where the last ended goes on with it."""

    _open: Span | None = field(default=None)

    def add(self, spans: Iterable[Span]) -> Iterator[Span]:
        """Take the next spans; tell those that can't go on any more."""
        for since, until in spans:
            if self._open is not None and self._open[1] == since:
                self._open = (self._open[0], until)
                continue
            if self._open is not None:
                yield self._open
            self._open = (since, until)

    def rest(self) -> Iterator[Span]:
        """What is left at the end."""
        if self._open is not None:
            yield self._open


def spans_where(at: datetime, holds: NDArray[np.bool_]) -> Iterator[Span]:
    """The stretches in which something holds, of one boolean a minute from ``at`` on."""
    edges = np.flatnonzero(np.diff(holds, prepend=False, append=False)).tolist()
    for first, end in zip(edges[::2], edges[1::2], strict=True):
        yield at + first * MINUTE, at + end * MINUTE
