"""What a channel shows to the right of now: the width in which tonight is expected. Pure.

By day nothing is known of the hours until the night, so the paper there stays bare, and the
width spans the night. In the night the width opens from the bead on, to what is expected at the
hour of the low.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

_STEPS = 16

Edge = tuple[datetime, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """The expected low of one night at the shed's own sensor [°C].

    ``since`` to ``until`` is the part of the night that is still to come. ``from_c`` is the
    temperature at ``since`` where that is now; None where ``since`` is still ahead. In eight
    nights of ten the low lies from ``low_c`` to ``high_c``; ``middle_c`` at ``low_at`` is what is
    most likely (None where the hour can't be told: then the width opens until the night ends).
    ``cold_c`` and ``hot_c`` are the limits of that night, the banks ahead; None where there is
    none. ``crosses``: the low is likely below ``cold_c``.
    """

    place: str
    since: datetime
    until: datetime
    low_c: float
    middle_c: float
    high_c: float
    low_at: datetime | None
    from_c: float | None = None
    cold_c: float | None = None
    hot_c: float | None = None
    crosses: bool = False

    @property
    def temperatures(self) -> tuple[float, ...]:
        """What the picture has to have room for."""
        return (self.low_c, self.high_c)

    def lower(self) -> tuple[Edge, ...]:
        """The lower edge of the width, from left to right."""
        return self._edge(self.low_c)

    def upper(self) -> tuple[Edge, ...]:
        """The upper edge of the width, from left to right."""
        return self._edge(self.high_c)

    def _edge(self, to_c: float) -> tuple[Edge, ...]:
        low_at = self.low_at or self.until
        if self.from_c is None or low_at <= self.since:
            return ((self.since, to_c), (self.until, to_c))
        falls = low_at - self.since
        steps = [n / _STEPS for n in range(_STEPS + 1)]
        eased = [
            (self.since + falls * share, self.from_c + (to_c - self.from_c) * _ease(share))
            for share in steps
        ]
        return (*eased, (max(self.until, low_at), to_c))


def _ease(share: float) -> float:
    """From 0 to 1, flat at its end: a night's fall slows down towards its low."""
    return math.sin(share * math.pi / 2)


def below(edge: Sequence[Edge], level_c: float) -> tuple[Edge, ...]:
    """The part of an edge that lies below a level, from crossing to crossing.

    An edge that falls once and stays there has one such part; empty where it never does.
    """
    found: list[Edge] = []
    for (at, c), (next_at, next_c) in pairwise(edge):
        if c <= level_c and not found:
            found.append((at, c))
        if (c > level_c) != (next_c > level_c):
            share = (c - level_c) / (c - next_c)
            found.append((at + (next_at - at) * share, level_c))
        if next_c <= level_c:
            found.append((next_at, next_c))
    return tuple(found)
