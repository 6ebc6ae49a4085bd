"""What a duty asks for, in words. Pure."""

from collections.abc import Sequence
from datetime import date, time

from service.climate.food_clock import Keeping
from service.nests.duty import (
    BeforeItSours,
    ByCalendar,
    ByStage,
    DutyTerms,
    DutyWhere,
    EveryDays,
    Schedule,
    Visit,
    Weekday,
    WhereKind,
)
from service.nests.duty_air import AirTold, Warmth
from service.nests.rota import rota_on
from service.nests.stage import Stage


def words_on(terms: DutyTerms, day: date) -> str:
    """What is to be done on that day: the name, and the rota's step."""
    if not terms.rota or terms.rota_first is None:
        return terms.name
    return f"{terms.name}: {rota_on(terms.rota, terms.rota_first, day).step.words}"


def why_on(terms: DutyTerms, day: date, air: AirTold | None = None) -> str:
    """One plain sentence, without its stop: the schedule, the rota's day, the air."""
    parts = [schedule_in_words(terms.schedule)]
    if air is not None:
        parts = [_air_in_words(parts[0], air)]
    if terms.rota and terms.rota_first is not None:
        found = rota_on(terms.rota, terms.rota_first, day)
        parts.append(f"{found.step.words}, day {found.nth} of {found.step.days}")
    return "; ".join(parts)


def _air_in_words(schedule: str, air: AirTold) -> str:
    if air.warmth is Warmth.CANNOT_TELL:
        return f"cannot tell whether it is due ({schedule}): {air.words}"
    return f"{schedule}: {air.words}"


def schedule_in_words(schedule: Schedule) -> str:
    """``every day``, ``on Mondays and Thursdays``, ``every 14 days from 3 March on`` ..."""
    if isinstance(schedule, ByCalendar):
        return _weekdays_in_words(schedule.weekdays)
    if isinstance(schedule, EveryDays):
        first = f"{schedule.first.day} {schedule.first:%B}"
        return f"{_every(schedule.days)} from {first} on"
    if isinstance(schedule, ByStage):
        return f"{_every(schedule.every)} while the nest is {_stages(schedule.stages)}"
    if isinstance(schedule, BeforeItSours):
        while_so = f" while the nest is {_stages(schedule.stages)}" if schedule.stages else ""
        return f"before what was put out at {clock(schedule.put_out)} sours{while_so}"
    return f"when it has been over {schedule.over_c:g}° that day, then every {schedule.every_h:g} h"


def _stages(stages: frozenset[Stage]) -> str:
    return _listed([_STAGES[one] for one in Stage if one in stages], "or")


def keeping_in_words(keeping: Keeping) -> str:
    """``8 h up to 15°, 4 h up to 25°, 1 h above``: how long food keeps."""
    steps = [f"{step.hours:g} h up to {step.up_to_c:g}°" for step in keeping.steps]
    return ", ".join((*steps, f"{keeping.hotter_h:g} h above"))


def clock(at: time) -> str:
    """``7:00``."""
    return f"{at.hour}:{at:%M}"


_STAGES = {
    Stage.EMPTY: "empty",
    Stage.PAIRED: "paired up and without eggs",
    Stage.LAYING: "laying",
    Stage.SITTING: "sitting",
    Stage.HATCHING: "hatching",
    Stage.REARING: "rearing",
    Stage.LEAVING: "being left",
}


def visits_in_words(visits: Sequence[Visit]) -> str:
    """``in the morning``, ``morning and evening``."""
    if len(visits) == 1:
        return "at midday" if visits[0] is Visit.MIDDAY else f"in the {visits[0].value}"
    return _listed([visit.value for visit in visits], "and")


def where_in_words(where: DutyWhere, names: dict[str, str]) -> str:
    """``every cage``, or the names of the places; an id that is no more is left out."""
    if where.kind is not WhereKind.NAMED:
        return where.kind.value
    return ", ".join(names[place] for place in where.places if place in names) or "no place"


def rota_in_words(terms: DutyTerms) -> str:
    """``2 days plain water, 2 days with supplement``; nothing without a rota."""
    return ", ".join(
        f"{step.days} {'day' if step.days == 1 else 'days'} {step.words}" for step in terms.rota
    )


def _weekdays_in_words(weekdays: frozenset[Weekday]) -> str:
    if len(weekdays) == len(Weekday):
        return "every day"
    named = [f"{day.name.capitalize()}s" for day in sorted(weekdays)]
    return f"on {_listed(named, 'and')}" if named else "on no day"


def _every(days: int) -> str:
    if days == 1:
        return "every day"
    return "every other day" if days == 2 else f"every {days} days"


def _listed(words: Sequence[str], last: str) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {last} {words[-1]}"
