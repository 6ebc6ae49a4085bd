"""Steps of light made by a plan: so much longer, or shorter, every few days. Pure.

Lengthening by a quarter to half an hour a week is common practice, no source.
"""

from dataclasses import dataclass
from datetime import date, time, timedelta
from enum import StrEnum

from service.climate.light_plan import LampSchedule, LightStep

MOST_STEPS = 200

_DAY_MIN = 24 * 60


class Moves(StrEnum):
    """Which end of the day moves as its light grows or shrinks."""

    MORNING = "morning"
    EVENING = "evening"
    BOTH = "both"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lengthening:
    """From ``first`` on ``from_min`` minutes of light, then ``by_min`` more (or fewer) every
    ``every_days`` days, until there are ``to_min``. All above 0; by and every whole.
    """

    first: date
    from_min: int
    to_min: int
    by_min: int
    every_days: int
    moves: Moves


def programme(terms: Lengthening, lamps: LampSchedule) -> tuple[LightStep, ...]:
    """The steps, oldest first; the last one may be shorter than the others.

    ``lamps`` says when they burn before: the end of the day that does not move stays there, or
    with BOTH its middle does. Times are whole minutes and may go over midnight.

    Raises:
        ValueError: it would take more than MOST_STEPS.
    """
    way = 1 if terms.to_min >= terms.from_min else -1
    count = -(-abs(terms.to_min - terms.from_min) // terms.by_min) + 1
    if count > MOST_STEPS:
        raise ValueError(f"{count} steps")
    steps = []
    for number in range(count):
        light = terms.from_min + way * number * terms.by_min
        light = min(light, terms.to_min) if way > 0 else max(light, terms.to_min)
        since = terms.first + timedelta(days=number * terms.every_days)
        steps.append(LightStep(since=since, schedule=_lit_for(light, lamps, terms.moves)))
    return tuple(steps)


def light_min(lamps: LampSchedule) -> int:
    """Minutes from on to off, across midnight where off comes first."""
    return (_minute(lamps.off) - _minute(lamps.on)) % _DAY_MIN


def _lit_for(light: int, lamps: LampSchedule, moves: Moves) -> LampSchedule:
    on, longer = _minute(lamps.on), light - light_min(lamps)
    if moves is Moves.MORNING:
        on -= longer
    elif moves is Moves.BOTH:
        on -= longer // 2
    return LampSchedule(on=_time(on), off=_time(on + light), dim=lamps.dim)


def _minute(at: time) -> int:
    return at.hour * 60 + at.minute


def _time(minute: int) -> time:
    return time(*divmod(minute % _DAY_MIN, 60))
