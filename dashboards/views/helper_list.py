"""The list for somebody who minds the shed: the coming days, visit by visit, to print. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from dashboards.views.due_words import due_thing
from dashboards.views.local_words import day_word, local_day, weekday
from dashboards.views.workload_view import minutes_word
from service.nests.due import Due, DueKind
from service.nests.duty import (
    BeforeItSours,
    Duty,
    DutySlot,
    OnWarmDay,
    Schedule,
    Visit,
    VisitTimes,
)
from service.nests.duty_words import keeping_in_words, schedule_in_words, where_in_words, words_on
from service.nests.nest import Nest
from service.nests.place import Place, PlaceKind
from service.nests.visits import held_instead, visits_held
from service.nests.workload.forecast import DayAhead

MOST_DAYS = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskLine:
    """One thing to do on a visit, and where: ticked by hand once it is done everywhere."""

    words: str
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HelperVisit:
    """``name`` says which visit, ``when`` from or until when it counts (local clock)."""

    name: str
    when: str
    tasks: tuple[TaskLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HelperDay:
    """``boxes`` are what may be seen or is to be done in the boxes, a line a box."""

    title: str
    minutes: str
    visits: tuple[HelperVisit, ...]
    boxes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HelperList:
    """``warm`` are duties that hang on the weather, ``cautions`` those of all that is listed."""

    title: str
    days: tuple[HelperDay, ...]
    warm: tuple[str, ...]
    cautions: tuple[str, ...]
    walk: str
    low: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HelperShed:
    """What the list is made of. ``slots`` are those of the days of ``ahead``."""

    ahead: Sequence[DayAhead]
    slots: Sequence[DutySlot]
    duties: Sequence[Duty]
    times: VisitTimes
    places: Sequence[Place]
    nests: Sequence[tuple[Nest, Sequence[Due]]]
    zone: ZoneInfo
    low: Sequence[str] = ()


def helper_list(shed: HelperShed) -> HelperList:
    """For the days of ``shed.ahead``, the first of which is today."""
    first, last = shed.ahead[0].day, shed.ahead[-1].day
    names = {place.id: place.name for place in shed.places}
    warm = [one for one in shed.duties if isinstance(one.terms.schedule, OnWarmDay | BeforeItSours)]
    warm = [one for one in warm if not one.terms.off]
    listed = {slot.duty_id for slot in shed.slots} | {one.id for one in warm}
    cautions = (
        f"{one.name}: {one.caution}" for one in shed.duties if one.id in listed and one.caution
    )
    cages = [
        place.name for place in shed.places if place.kind in (PlaceKind.CAGE, PlaceKind.FLIGHT)
    ]
    return HelperList(
        title=f"For the shed, {_span(first, last)}",
        days=tuple(_day(one, shed, names, first) for one in shed.ahead),
        warm=tuple(
            f"{one.name}, {where_in_words(one.terms.where, names)}: "
            f"{_by_warmth(one.terms.schedule)}"
            for one in warm
        ),
        cautions=tuple(dict.fromkeys(cautions)),
        walk=", ".join(cages),
        low=tuple(shed.low),
    )


def _by_warmth(schedule: Schedule) -> str:
    told = schedule_in_words(schedule)
    if isinstance(schedule, BeforeItSours):
        return f"{told}; it keeps {keeping_in_words(schedule.keeping)}"
    return told


def _span(first: date, last: date) -> str:
    if first == last:
        return f"{weekday(first)} {day_word(first)}"
    if (first.year, first.month) == (last.year, last.month):
        return f"{first.day} to {day_word(last)}"
    return f"{day_word(first)} to {day_word(last)}"


def _day(ahead: DayAhead, shed: HelperShed, names: dict[str, str], today: date) -> HelperDay:
    return HelperDay(
        title=f"{weekday(ahead.day)} {day_word(ahead.day)}",
        minutes=f"about {minutes_word(ahead.minutes.mean)}" if ahead.minutes.mean else "",
        visits=tuple(_visits(ahead.day, shed, names)),
        boxes=tuple(_boxes(ahead.day, shed, names, today)),
    )


def _visits(day: date, shed: HelperShed, names: Mapping[str, str]) -> Iterator[HelperVisit]:
    held = visits_held(shed.times)
    for number, visit in enumerate(held):
        of_it = [
            slot
            for slot in shed.slots
            if slot.day == day and held_instead(slot.visit, shed.times) is visit
        ]
        begins = _begins(visit, shed.times)
        until = _begins(held[number + 1], shed.times) if number + 1 < len(held) else ""
        yield HelperVisit(
            name=visit.value.capitalize(),
            when=f"from {begins} on" if number else f"before {until}",
            tasks=tuple(_tasks(of_it, day, shed, names)),
        )


def _begins(visit: Visit, times: VisitTimes) -> str:
    told = {Visit.MORNING: times.morning, Visit.MIDDAY: times.midday, Visit.EVENING: times.evening}
    at = told[visit]
    return f"{at:%H:%M}" if at is not None else ""


def _tasks(
    slots: Sequence[DutySlot], day: date, shed: HelperShed, names: Mapping[str, str]
) -> Iterator[TaskLine]:
    for duty in shed.duties:
        places = [slot.place for slot in slots if slot.duty_id == duty.id]
        if places:
            yield TaskLine(words=words_on(duty.terms, day), where=where(places, shed.places, names))


def where(wanted: Sequence[str], places: Sequence[Place], names: Mapping[str, str]) -> str:
    """``every cage`` where it is all of a kind; ``Cage 1, 4 and 5`` where their names are alike;
    else all the names, in walking order.
    """
    chosen = set(wanted)
    for kind in (PlaceKind.CAGE, PlaceKind.BOX, PlaceKind.FLIGHT):
        of_kind = {place.id for place in places if place.kind is kind}
        if len(of_kind) > 1 and of_kind == chosen:
            return f"every {kind.value}"
    told = [names.get(place.id, place.id) for place in places if place.id in chosen]
    heads = {name.rpartition(" ")[0] for name in told}
    if len(told) > 1 and len(heads) == 1 and "" not in heads:
        (head,) = heads
        return f"{head} {_and([name.rpartition(' ')[2] for name in told])}"
    return _and(told)


def _and(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


_ORDER = (
    DueKind.NEXT_EGG,
    DueKind.HATCH,
    DueKind.CANDLE,
    DueKind.RING,
    DueKind.HIDE_IN,
    DueKind.FLEDGE,
    DueKind.SPLIT,
)
_OF_BOX = {
    DueKind.CANDLE: "candle the eggs, if you were shown how",
    DueKind.HIDE_IN: "put somewhere to hide on the floor of the cage",
}


def _boxes(day: date, shed: HelperShed, names: dict[str, str], today: date) -> Iterator[str]:
    """A line for each box of which something may be seen or is to be done on that day."""
    for nest, dues in shed.nests:
        hatched = frozenset(_hatched(nest))
        of_day = [due for due in dues if _on(due, day, today, shed.zone)]
        parts = [
            words
            for kind in _ORDER
            if (words := _of_kind([one for one in of_day if one.kind is kind], hatched, names))
        ]
        if parts:
            yield f"{names.get(nest.box.id, nest.box.name)}: {'; '.join(parts)}"


def _on(due: Due, day: date, today: date, zone: ZoneInfo) -> bool:
    """Whether the day lies in its span; what is late is work of today."""
    first, last = local_day(due.since, zone), max(local_day(due.until, zone), today)
    return first <= day <= last


def _hatched(nest: Nest) -> Iterator[int]:
    for guest in nest.guests:
        if guest.chick is not None:
            yield guest.egg.id
    for clutch in (nest.clutch, nest.before):
        if clutch is not None:
            yield from (clutch.eggs[chick.egg_number - 1].id for chick in clutch.chicks)


def _of_kind(dues: Sequence[Due], hatched: frozenset[int], names: dict[str, str]) -> str:
    """Dues of one kind: ``eggs 2 and 3 may hatch``; empty for none."""
    if not dues:
        return ""
    kind = dues[0].kind
    if kind in _OF_BOX:
        return _OF_BOX[kind]
    if kind in _EGGS:
        return _EGGS[kind].format(_and(_things("egg", dues, names)))
    there = [one for one in dues if one.egg_id in hatched]
    perhaps = [one for one in dues if one.egg_id not in hatched]
    told = _things("chick", there, names)
    if perhaps:
        told.append(f"{_and(_things('chick', perhaps, names))} if hatched by then")
    return _CHICKS[kind].format(_and(told))


_EGGS = {DueKind.NEXT_EGG: "{} may be laid", DueKind.HATCH: "{} may hatch"}
_CHICKS = {
    DueKind.RING: "ring {}, if you were shown how",
    DueKind.FLEDGE: "{} may come out of the box",
    DueKind.SPLIT: "{}: old enough to live apart; leave it to the keeper",
}


def _things(noun: str, dues: Sequence[Due], names: dict[str, str]) -> list[str]:
    """``eggs 2 and 3`` of this box as one; a guest by itself: ``chick 2 of Box 4``."""
    own = list(dict.fromkeys(str(one.egg_number) for one in dues if one.laid_in is None))
    guests = [due_thing(one, names) for one in dues if one.laid_in is not None]
    told = [f"{noun}{'s' if len(own) > 1 else ''} {_and(own)}"] if own else []
    return told + guests


def days_from(told: str | None) -> int:
    """How many days the address asks for; a week where it asks for none or for nonsense."""
    if told and told.isascii() and told.isdecimal() and 1 <= int(told[:4]) <= MOST_DAYS:
        return int(told)
    return 7


def last_day(first: date, days: int) -> date:
    """The last of so many days."""
    return first + timedelta(days=days - 1)
