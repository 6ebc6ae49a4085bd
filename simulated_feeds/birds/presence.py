"""Who is in the box when, within one day, and what is warmed by it. Pure, but for the draws."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import log

from numpy.random import Generator

from simulated_feeds.birds.bouts import stays
from simulated_feeds.birds.calendar_day import CalendarDay
from simulated_feeds.birds.intervals import Interval, Intervals, clipped, joined, without
from simulated_feeds.birds.parameters import Sitting
from simulated_feeds.birds.phases import Phase, Stretch
from simulated_feeds.birds.states import NestState

_WARMING = (Phase.LAYING, Phase.SITTING, Phase.BROODING, Phase.REARING)
_SAT_ON = (Phase.SITTING, Phase.BROODING, Phase.REARING)
_BEFORE_AN_EGG_S, _AFTER_AN_EGG_S = 2700, 1200
_DRIVEN_OFF = 0.35


@dataclass(slots=True)
class Presence:
    """``nesting`` and ``warming`` are the hen's times before the first egg and from it on.

    ``warm`` is when eggs in the box are warm enough to grow.
    """

    hen: Intervals = field(default_factory=list)
    cock: Intervals = field(default_factory=list)
    nesting: Intervals = field(default_factory=list)
    warming: Intervals = field(default_factory=list)
    warm: Intervals = field(default_factory=list)


def presence(
    nest: NestState,
    day: CalendarDay,
    sitting: Sitting,
    phases: Sequence[Stretch],
    *,
    looks: Sequence[int],
    off: Intervals,
    chance: Generator,
) -> Presence:
    """The day of hen and cock. ``off`` is when nothing brings them into the box."""
    hen: Intervals = []
    found = Presence()
    for phase in phases:
        hen += stays(chance, phase.hen, phase.span, day.waking)
        found.cock += stays(chance, phase.cock, phase.span, day.waking)
    if nest.lay_s is not None:
        around: Interval = (nest.lay_s - _BEFORE_AN_EGG_S, nest.lay_s + _AFTER_AN_EGG_S)
        hen += clipped([around], day.begin_s, day.end_s)
    found.hen = without(hen, [*off, *_driven_off(looks, chance)])
    found.cock = without(found.cock, off)
    for phase in phases:
        there = found.warming if phase.phase in _WARMING else found.nesting
        there += clipped(found.hen, *phase.span)
    sat_on = [phase.span for phase in phases if phase.phase in _SAT_ON]
    found.warm = _warm(found.hen, sat_on, nest.day_c, day, sitting)
    return found


def _driven_off(looks: Sequence[int], chance: Generator) -> Intervals:
    """At one look of three she leaves for some minutes."""
    draws = chance.uniform(size=(len(looks), 2)).tolist()
    return [
        (at_s + 5, at_s + 5 + int(120 + 300 * long))
        for at_s, (goes, long) in zip(looks, draws, strict=True)
        if goes < _DRIVEN_OFF
    ]


def _warm(
    hen: Intervals, sat_on: Intervals, air_c: float, day: CalendarDay, sitting: Sitting
) -> Intervals:
    """While she sits, and until uncovered eggs have cooled to where they stop growing."""
    if air_c >= sitting.growth_from_c:
        return joined(sat_on)
    fall = (sitting.egg_c - air_c) / (sitting.growth_from_c - air_c)
    grace_s = int(60 * sitting.cooling_min * log(fall))
    under = [part for span in sat_on for part in clipped(hen, *span)]
    return clipped(joined((a, b + grace_s) for a, b in under), day.begin_s, day.end_s)
