"""Which duties are to be done now, and which went by. Pure.

Of one duty at one place at most one is due at a time: its latest. Doing that settles all that
was missed before it; nobody changes yesterday's water. A duty that is dropped is due until
its next visit or the end of its day; one that is carried until it is done. A condition that
nobody can tell is listed with the reason, and never taken for "not due".
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Generic, TypeVar

from service.nests.duty import (
    BeforeItSours,
    Duty,
    DutyDone,
    DutyDue,
    DutyMissed,
    DutySlot,
    DutyStanding,
    DutyTerms,
    Missed,
    OnWarmDay,
    Visit,
)
from service.nests.duty_days import Asked, PlaceDays, ShedDays, terms_at, visits_on
from service.nests.duty_places import places_of
from service.nests.duty_words import why_on, words_on
from service.nests.visits import VisitOfDay, visit_span, visits_back_from

LOOK_BACK_DAYS = 400
"""So far back a missed duty is looked for: more than the longest interval, which is 366."""

NOTED_DAYS = 2
"""Dropped duties are told of today and of the day before."""


_T = TypeVar("_T")


class _Remembered(Generic[_T]):
    """What is asked for again and again, each reckoned once and only as far as somebody asks."""

    def __init__(self, told: Iterator[_T]) -> None:
        self._known: list[_T] = []
        self._rest = told

    def __iter__(self) -> Iterator[_T]:
        nth = 0
        while True:
            if nth == len(self._known):
                following = next(self._rest, None)
                if following is None:
                    return
                self._known.append(following)
            yield self._known[nth]
            nth += 1


def duties_due(
    duties: Sequence[Duty], done: Sequence[DutyDone], shed: ShedDays
) -> tuple[DutyDue, ...]:
    """All that is to be done now, in walking order, then in the duties' own.

    ``done`` holds at least the latest standing one of every duty and place (undone ones are
    passed over). A nest's dues are not among these (``due_dates``).
    """
    once = _Once(shed)
    found = [
        (nth, due) for nth, duty in enumerate(duties) for due in _dues_of(duty, done, shed, once)
    ]
    order = {place.id: nth for nth, place in enumerate(shed.places)}
    return tuple(due for _, due in sorted(found, key=lambda one: (order[one[1].place], one[0])))


def duties_missed(
    duties: Sequence[Duty], done: Sequence[DutyDone], shed: ShedDays
) -> tuple[DutyMissed, ...]:
    """What is dropped and went by undone today or yesterday, newest first.

    ``done`` holds all that was done for these two days.
    """
    once = _Once(shed)
    found = [missed for duty in duties for missed in _missed_of(duty, done, shed, once)]
    return tuple(sorted(found, key=lambda one: one.until, reverse=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Turn:
    """One time that a duty may come round, by the calendar; ``until`` is when it is missed."""

    visit: VisitOfDay
    terms: DutyTerms
    until: datetime


class _Once:
    """What all duties ask for: the visits back from now, and the places, each reckoned once."""

    def __init__(self, shed: ShedDays) -> None:
        self.visits = _Remembered(visits_back_from(shed.now, shed.zone, shed.times))
        self._shed = shed
        self._places: dict[str, PlaceDays] = {}

    def at(self, place: str) -> PlaceDays:
        if place not in self._places:
            self._places[place] = PlaceDays(place, self._shed)
        return self._places[place]


def _turns(
    duty: Duty, shed: ShedDays, visits: Iterable[VisitOfDay], days_back: int
) -> Iterator[_Turn]:
    """The turns that have begun, latest first, back to when it was made or switched on."""
    oldest = shed.today - timedelta(days=days_back)
    for visit in visits:
        terms = terms_at(duty, visit.span.until)
        if terms is None or terms.off or visit.day < oldest:
            return
        wanted = visits_on(terms, visit.day, shed.zone, shed.times)
        if visit.visit in wanted:
            yield _Turn(visit=visit, terms=terms, until=_until(visit, wanted, shed))


def _until(visit: VisitOfDay, wanted: Sequence[Visit], shed: ShedDays) -> datetime:
    """When its next visit of the day begins, else when the day's last visit ends."""
    later = [one for one in wanted if one.turn > visit.visit.turn]
    if later:
        return visit_span(visit.day, later[0], shed.zone, shed.times).since
    return visit_span(visit.day, Visit.EVENING, shed.zone, shed.times).until


def _dues_of(
    duty: Duty, done: Sequence[DutyDone], shed: ShedDays, once: _Once
) -> Iterator[DutyDue]:
    if duty.terms.off:
        return
    last = _last_done(duty, done)
    ever_carried = any(_is_carried(terms) for terms in duty.every_terms)
    turns = _Remembered(_turns(duty, shed, once.visits, LOOK_BACK_DAYS if ever_carried else 0))
    for place in places_of(duty.terms.where, shed.places, shed.nests):
        here = once.at(place)
        settled = [one for one in (last.get(place), _looked(duty, here)) if one is not None]
        due = _due_at(duty, here, turns, max(settled, default=None))
        if due is not None:
            yield due


def _looked(duty: Duty, place: PlaceDays) -> tuple[date, int] | None:
    return place.last_look() if duty.terms.look else None


def _last_done(duty: Duty, done: Sequence[DutyDone]) -> dict[str, tuple[date, int]]:
    """By place the day and turn of the latest that stands."""
    last: dict[str, tuple[date, int]] = {}
    for one in done:
        slot = one.slot
        if slot.duty_id == duty.id and one.stands:
            told = (slot.day, slot.visit.turn)
            last[slot.place] = max(told, last.get(slot.place, told))
    return last


def _due_at(
    duty: Duty, place: PlaceDays, turns: Iterable[_Turn], last: tuple[date, int] | None
) -> DutyDue | None:
    """The latest turn that is open here; None where all is done, or nothing is asked for."""
    latest: tuple[_Turn, Asked] | None = None
    missed_since = None
    for turn in turns:
        if last is not None and _is_settled(turn, last):
            break
        running = place.now < turn.until
        if not running and not _is_carried(turn.terms):
            continue
        asked = place.asks(turn.terms, turn.visit, min(place.now, turn.until))
        if asked is None:
            continue
        latest = latest or (turn, asked)
        missed_since = missed_since if running else turn.visit.day
    if latest is None:
        return None
    return _due(duty, place, *latest, missed_since)


def _is_settled(turn: _Turn, last: tuple[date, int]) -> bool:
    """By the day and turn of what was done last. Food that was taken out is out for its day."""
    if isinstance(turn.terms.schedule, BeforeItSours):
        return turn.visit.day <= last[0]
    return (turn.visit.day, turn.visit.visit.turn) <= last


def _due(
    duty: Duty, place: PlaceDays, turn: _Turn, asked: Asked, missed_since: date | None
) -> DutyDue:
    running = place.now < turn.until
    # What is made up for today is made up for as the rota has it today.
    day = turn.visit.day if running else place.today
    return DutyDue(
        duty=duty,
        place=place.place,
        day=turn.visit.day,
        visit=turn.visit.visit,
        words=words_on(turn.terms, day),
        why=why_on(turn.terms, day, asked.air),
        since=turn.visit.span.since,
        until=turn.until,
        standing=DutyStanding.DUE if running else DutyStanding.CARRIED,
        missed_since=missed_since,
        sure=asked.sure,
        minutes=turn.terms.minutes,
    )


def _is_carried(terms: DutyTerms) -> bool:
    """What the warmth of a day asked for is over with the day."""
    by_warmth = isinstance(terms.schedule, OnWarmDay | BeforeItSours)
    return terms.missed is Missed.CARRIED and not by_warmth


def _missed_of(
    duty: Duty, done: Sequence[DutyDone], shed: ShedDays, once: _Once
) -> Iterator[DutyMissed]:
    if duty.terms.off:
        return
    told = {one.slot for one in done if one.stands}
    turns = _turns(duty, shed, once.visits, NOTED_DAYS - 1)
    gone = [turn for turn in turns if turn.until <= shed.now and not _is_carried(turn.terms)]
    for place in places_of(duty.terms.where, shed.places, shed.nests):
        here = once.at(place)
        for turn in gone:
            slot = DutySlot(
                duty_id=duty.id, place=place, day=turn.visit.day, visit=turn.visit.visit
            )
            if _was_done(slot, turn.terms, told) or (
                turn.terms.look and here.looked_in(turn.visit.span.since, turn.until)
            ):
                continue
            if here.asks(turn.terms, turn.visit, turn.until) is not None:
                words = words_on(turn.terms, turn.visit.day)
                yield DutyMissed(slot=slot, name=turn.terms.name, words=words, until=turn.until)


def _was_done(slot: DutySlot, terms: DutyTerms, told: Collection[DutySlot]) -> bool:
    if not isinstance(terms.schedule, BeforeItSours):
        return slot in told
    return any(
        (one.duty_id, one.place, one.day) == (slot.duty_id, slot.place, slot.day) for one in told
    )
