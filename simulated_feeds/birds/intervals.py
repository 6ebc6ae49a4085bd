"""Stretches of time as pairs of whole seconds, ``since <= t < until``, in order. Pure."""

from collections.abc import Iterable, Sequence

Interval = tuple[int, int]
Intervals = list[Interval]


def clipped(intervals: Iterable[Interval], since: int, until: int) -> Intervals:
    """Those parts that lie within a stretch."""
    return [(max(a, since), min(b, until)) for a, b in intervals if max(a, since) < min(b, until)]


def joined(intervals: Iterable[Interval]) -> Intervals:
    """In order, with those that meet or overlap made one."""
    found: Intervals = []
    for since, until in sorted(intervals):
        if found and since <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], until))
        else:
            found.append((since, until))
    return found


def without(intervals: Sequence[Interval], holes: Iterable[Interval]) -> Intervals:
    """What is left of the intervals outside the holes; both in any order."""
    left = joined(intervals)
    for since, until in joined(holes):
        rest: Intervals = []
        for a, b in left:
            if b <= since or a >= until:
                rest.append((a, b))
                continue
            if a < since:
                rest.append((a, since))
            if b > until:
                rest.append((until, b))
        left = rest
    return left


def length_s(intervals: Iterable[Interval]) -> int:
    """Seconds in all."""
    return sum(until - since for since, until in intervals)


def within(intervals: Iterable[Interval], instant: int) -> bool:
    """Whether one of them holds an instant."""
    return any(since <= instant < until for since, until in intervals)


def after_seconds(intervals: Iterable[Interval], seconds: float) -> int | None:
    """The instant at which so many seconds of the intervals have passed; None if they don't."""
    for since, until in intervals:
        if seconds <= until - since:
            return since + int(seconds)
        seconds -= until - since
    return None
