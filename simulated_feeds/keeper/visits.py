"""When the keeper comes by. Pure, but for the draws."""

from datetime import date

from numpy.random import Generator

from simulated_feeds.birds.calendar_day import CalendarDay
from simulated_feeds.birds.states import DAY_S, NestState
from simulated_feeds.keeper.parameters import KeeperParameters

_AFTER_THE_LAST_EGG_S = 4 * DAY_S
_HATCH_FROM_S = 15 * DAY_S
_SMALL_CHICK_DAYS = 10.0
# However many boxes there are: a round is over before the birds sleep.
_LONGEST_ROUND_S = 2 * 3600


def looks_of_day(
    nest: NestState, day: CalendarDay, keeper: KeeperParameters, chance: Generator
) -> list[tuple[int, bool]]:
    """Instants of the looks into one box within the day, and whether each is the evening's."""
    found: list[tuple[int, bool]] = []
    for local in day.dates:
        late, missed = chance.uniform(size=2).tolist()
        walk_s = min(int(60 * keeper.minutes_a_box * nest.place), _LONGEST_ROUND_S)
        shift = walk_s + int(60 * keeper.late_by_min * late)
        morning_s = day.local_s(local, keeper.morning) + shift
        if missed >= keeper.misses and _is_busy(nest, morning_s):
            found.append((morning_s, False))
        found.append((day.local_s(local, keeper.evening) + shift, True))
    return [(at_s, evening) for at_s, evening in found if day.begin_s <= at_s < day.end_s]


def evening_of(day: CalendarDay, keeper: KeeperParameters) -> int | None:
    """Half an hour after the evening's last box, when eggs are carried; None outside the day."""
    for local in day.dates:
        at_s = _evening_s(day, local, keeper) + 1800
        if day.begin_s <= at_s < day.end_s:
            return at_s
    return None


def _evening_s(day: CalendarDay, local: date, keeper: KeeperParameters) -> int:
    return day.local_s(local, keeper.evening) + int(600 * keeper.minutes_a_box)


def _is_busy(nest: NestState, at_s: int) -> bool:
    """Whether, by what the keeper knows, eggs are laid or hatch here in these days."""
    clutch = nest.clutch
    if clutch is None or clutch.over_s is not None:
        return False
    found = [egg.found_s for egg in clutch.eggs if egg.found_s is not None]
    if found and at_s - max(found) < _AFTER_THE_LAST_EGG_S:
        return True
    seen = clutch.sitting_seen_s
    if nest.eggs and seen is not None and at_s - seen >= _HATCH_FROM_S:
        return True
    youngest = nest.youngest_days(at_s)
    return youngest is not None and youngest < _SMALL_CHICK_DAYS
