"""Stretches of time as whole milliseconds since 1970: from the first to before the second. Pure."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from simulated_feeds.happening import Happening, What

Span = tuple[int, int]
Instants = NDArray[np.int64]
"""Milliseconds since 1970."""

Mask = NDArray[np.bool_]

DAY_MS = 86_400_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MILLISECOND = timedelta(milliseconds=1)


def ms_of(at: datetime) -> int:
    """An instant [UTC], cut to its millisecond."""
    return (at - _EPOCH) // _MILLISECOND


def instant(ms: int) -> datetime:
    """The way back."""
    return _EPOCH + timedelta(milliseconds=ms)


def spans_of(happenings: Iterable[Happening], what: What, who: str) -> list[Span]:
    """When it happens to one sender."""
    return [
        (ms_of(one.since), ms_of(one.until))
        for one in happenings
        if one.what is what and one.who == who
    ]


def merged(spans: Iterable[Span]) -> list[Span]:
    """The same time in order, with those that touch as one."""
    found: list[Span] = []
    for since, until in sorted(spans):
        if found and since <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], until))
        else:
            found.append((since, until))
    return found


def clipped(spans: Iterable[Span], since: int, until: int) -> list[Span]:
    """What of them lies within a stretch."""
    return [(max(a, since), min(b, until)) for a, b in spans if a < until and b > since]


def between(spans: Iterable[Span], since: int, until: int) -> list[Span]:
    """What of a stretch lies in none of them: ``spans`` merged."""
    found, begin = [], since
    for a, b in spans:
        if a > begin:
            found.append((begin, min(a, until)))
        begin = max(begin, b)
    return [*found, (begin, until)] if begin < until else found


def inside(at: Instants, spans: Iterable[Span]) -> Mask:
    """Which instants lie in any of them."""
    found = np.zeros(len(at), dtype=np.bool_)
    for since, until in spans:
        found |= (at >= since) & (at < until)
    return found
