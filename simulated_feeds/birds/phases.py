"""What the birds of a nest are about in a stretch of the day, and how they come and go in it.

That the cock first enters 6 days before the first egg, briefly, and takes no part in nesting:
Behaviour (1977), doi 10.1163/156853977x00243. All other figures: model, common practice.
"""

from dataclasses import dataclass
from enum import StrEnum

from simulated_feeds.birds.bouts import AWAY, Habit
from simulated_feeds.birds.intervals import Interval
from simulated_feeds.birds.parameters import Sitting
from simulated_feeds.birds.states import NestState

WAKING_HOURS = 14.0
_COCK_FROM_DAYS = 6.0
_COCK_FEEDS_FROM_DAYS = 8.0


class Phase(StrEnum):
    """Of a nest."""

    AWAY = "away"
    NESTING = "nesting"
    LAYING = "laying"
    SITTING = "sitting"
    BROODING = "brooding"
    REARING = "rearing"


@dataclass(frozen=True, slots=True)
class Stretch:
    """One phase within a day."""

    phase: Phase
    span: Interval
    hen: Habit
    cock: Habit


def stretches(nest: NestState, begin_s: int, end_s: int, sitting: Sitting) -> list[Stretch]:
    """The day's phases, as far as they can be told in the morning: laying changes them."""
    lay_s = nest.lay_s if nest.lay_s is not None and begin_s <= nest.lay_s < end_s else None
    if lay_s is None:
        return [_stretch(_phase(nest, begin_s), nest, (begin_s, end_s), sitting)]
    clutch = nest.clutch
    known = 0 if clutch is None or clutch.over_s is not None else len(clutch.eggs)
    with_egg = 2 if clutch is None or clutch.over_s is not None else clutch.sits_with
    after = Phase.SITTING if known + 1 >= with_egg else Phase.LAYING
    return [
        _stretch(_phase(nest, begin_s), nest, (begin_s, lay_s), sitting),
        _stretch(after, nest, (lay_s, end_s), sitting),
    ]


def _phase(nest: NestState, at_s: int) -> Phase:
    youngest = nest.youngest_days(at_s)
    if nest.eggs and (nest.clutch is None or nest.clutch.sitting_s is not None):
        return Phase.SITTING if youngest is None else Phase.BROODING
    if nest.eggs:
        return Phase.LAYING
    if youngest is not None:
        return Phase.REARING
    if nest.pair is None or nest.entered_s is None or nest.entered_s >= at_s:
        return Phase.AWAY
    return Phase.NESTING


def _stretch(phase: Phase, nest: NestState, span: Interval, sitting: Sitting) -> Stretch:
    hen, cock = _HABITS[phase](nest, span[0], sitting)
    return Stretch(phase, span, hen, cock)


def _away(_nest: NestState, _at_s: int, _sitting: Sitting) -> tuple[Habit, Habit]:
    return AWAY, AWAY


def _nesting(nest: NestState, at_s: int, _sitting: Sitting) -> tuple[Habit, Habit]:
    """She comes oftener and longer as the first egg nears, and spends the last nights there."""
    left = nest.days_to_first_egg(at_s)
    near = min(1.0, max(0.0, 1 - left / max(nest.need, 1.0)))
    hen = Habit(inside=False, a_waking_hour=1 + 2 * near, minutes=5 + 9 * near, nights=left <= 2.5)
    cock = Habit(inside=False, a_waking_hour=0.3, minutes=1.5, nights=False)
    return hen, cock if left <= _COCK_FROM_DAYS else AWAY


def _laying(_nest: NestState, _at_s: int, sitting: Sitting) -> tuple[Habit, Habit]:
    hourly = sitting.bouts_a_day / WAKING_HOURS
    return Habit(inside=True, a_waking_hour=hourly, minutes=sitting.bout_min), _FEEDS_HER


def _brooding(nest: NestState, at_s: int, _sitting: Sitting) -> tuple[Habit, Habit]:
    age = nest.youngest_days(at_s) or 0.0
    return Habit(inside=True, a_waking_hour=0.6, minutes=4 + age / 2), _FEEDS_HER


def _rearing(nest: NestState, at_s: int, sitting: Sitting) -> tuple[Habit, Habit]:
    age = nest.youngest_days(at_s) or 0.0
    if age <= sitting.broods_days:
        return _brooding(nest, at_s, sitting)
    nights = age <= sitting.nights_with_chicks_days
    hen = Habit(inside=False, a_waking_hour=2.5, minutes=5.0, nights=nights)
    cock = Habit(inside=False, a_waking_hour=1.0, minutes=2.0, nights=False)
    return hen, cock if age > _COCK_FEEDS_FROM_DAYS else _FEEDS_HER


_FEEDS_HER = Habit(inside=False, a_waking_hour=0.45, minutes=2.0, nights=False)
_HABITS = {
    Phase.AWAY: _away,
    Phase.NESTING: _nesting,
    Phase.LAYING: _laying,
    Phase.SITTING: _laying,
    Phase.BROODING: _brooding,
    Phase.REARING: _rearing,
}
