"""When hen and cock are in the box within one day. Pure, but for the draws."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from simulated_feeds.birds.intervals import Interval, Intervals, clipped, joined, without

_LEAST_S = 30
_SPREAD = 0.5


@dataclass(frozen=True, slots=True)
class Habit:
    """``inside``: she is in the box and leaves for bouts by day; else she comes for bouts.

    ``a_waking_hour`` bouts of ``minutes`` in the mean; ``nights``: the night is spent inside.
    """

    inside: bool
    a_waking_hour: float
    minutes: float
    nights: bool = True


AWAY = Habit(inside=False, a_waking_hour=0.0, minutes=1.0, nights=False)


def bouts(chance: Generator, waking: Intervals, a_waking_hour: float, minutes: float) -> Intervals:
    """Bouts strewn over the waking hours; they neither overlap nor run into the night."""
    found: Intervals = []
    for since, until in waking:
        number = int(chance.poisson(a_waking_hour * (until - since) / 3600))
        if not number:
            continue
        starts = np.sort(chance.uniform(since, until, number)).astype(int).tolist()
        # A lognormal length of which the mean is as asked.
        lengths = minutes * 60 * np.exp(chance.normal(-(_SPREAD**2) / 2, _SPREAD, number))
        ends = [*starts[1:], until]
        for start, length, end in zip(starts, lengths.tolist(), ends, strict=True):
            stop = min(start + int(length), end - _LEAST_S)
            if stop - start >= _LEAST_S:
                found.append((start, stop))
    return found


def stays(chance: Generator, habit: Habit, stretch: Interval, waking: Intervals) -> Intervals:
    """When the bird of this habit is in the box within a stretch."""
    since, until = stretch
    awake = clipped(waking, since, until)
    moving = bouts(chance, awake, habit.a_waking_hour, habit.minutes)
    if habit.inside:
        return without([(since, until)], moving)
    if habit.nights:
        return joined([*moving, *without([(since, until)], awake)])
    return moving
