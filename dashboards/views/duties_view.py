"""The duties in words, and those that can be had by one tap. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time

from dashboards.views.duty_fields import time_in
from dashboards.views.duty_form import Told
from dashboards.views.local_words import day_word
from service.errors import InputError
from service.nests.duty import (
    BeforeItSours,
    Duty,
    DutyTerms,
    Missed,
    OnWarmDay,
    Visit,
    VisitTimes,
    WhereKind,
)
from service.nests.duty_places import places_of
from service.nests.duty_templates import TEMPLATES, DutyTemplate, terms_of
from service.nests.duty_words import (
    keeping_in_words,
    rota_in_words,
    schedule_in_words,
    visits_in_words,
    where_in_words,
)
from service.nests.nest import Nest
from service.nests.place import Place
from service.nests.rota import rota_on
from service.nests.visits import held_instead


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyRow:
    """``when`` and ``where`` are part of a line; ``today`` is the rota's step of today."""

    id: int
    name: str
    when: str
    where: str
    rota: str
    today: str
    more: str
    nowhere: bool
    off: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplateRow:
    """``there`` where a duty of that name is on the list."""

    key: str
    name: str
    words: str
    caution: str
    there: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DutiesView:
    """``morning`` to ``evening`` are the visits' times, ``midday`` empty without one."""

    rows: tuple[DutyRow, ...]
    templates: tuple[TemplateRow, ...]
    morning: str
    midday: str
    evening: str

    @property
    def all_there(self) -> bool:
        """Whether nothing is left to be had by one tap."""
        return all(one.there for one in self.templates)


def duties_view(
    duties: Sequence[Duty],
    places: Sequence[Place],
    nests: Sequence[Nest],
    times: VisitTimes,
    today: date,
) -> DutiesView:
    """``today`` is the shed's own day."""
    names = {duty.name.casefold() for duty in duties}
    rows = tuple(_row(duty, places, nests, times, today) for duty in duties)
    return DutiesView(
        rows=rows,
        templates=tuple(_template(one, names, times, today) for one in TEMPLATES),
        morning=_clock(times.morning),
        midday="" if times.midday is None else _clock(times.midday),
        evening=_clock(times.evening),
    )


def _clock(at: time) -> str:
    return f"{at:%H:%M}"


def _row(
    duty: Duty,
    places: Sequence[Place],
    nests: Sequence[Nest],
    times: VisitTimes,
    today: date,
) -> DutyRow:
    terms = duty.terms
    here = places_of(terms.where, places, nests)
    step = ""
    if terms.rota and terms.rota_first is not None:
        found = rota_on(terms.rota, terms.rota_first, today)
        step = f"today {found.step.words}, day {found.nth} of {found.step.days}"
    return DutyRow(
        id=duty.id,
        name=terms.name,
        when=when_in_words(terms, times),
        where=_where(terms, places, len(here)),
        rota=rota_in_words(terms),
        today=step,
        more=_more(terms),
        nowhere=not here,
        off=terms.off,
    )


def when_in_words(terms: DutyTerms, times: VisitTimes) -> str:
    """``every day, in the morning``; visits that are not held are told as those held instead."""
    if isinstance(terms.schedule, BeforeItSours):
        kept = keeping_in_words(terms.schedule.keeping)
        return f"every day {schedule_in_words(terms.schedule)} ({kept})"
    held = {held_instead(visit, times) for visit in terms.visits}
    visits = visits_in_words([visit for visit in Visit if visit in held])
    first = "first " if isinstance(terms.schedule, OnWarmDay) else ""
    return f"{schedule_in_words(terms.schedule)}, {first}{visits}"


def _where(terms: DutyTerms, places: Sequence[Place], number: int) -> str:
    told = where_in_words(terms.where, {place.id: place.name for place in places})
    if terms.where.kind in {WhereKind.NAMED, WhereKind.SHED}:
        return told
    return f"{told} ({number} now)"


def _more(terms: DutyTerms) -> str:
    missed = "stays until it is done" if terms.missed is Missed.CARRIED else "dropped when missed"
    look = ", a nest check counts as done" if terms.look else ""
    return f"about {terms.minutes:g} min a place, {missed}{look}"


def _template(one: DutyTemplate, names: set[str], times: VisitTimes, today: date) -> TemplateRow:
    terms = terms_of(one, now=datetime.min.replace(tzinfo=UTC), today=today)
    words = f"{one.where.value}, {when_in_words(terms, times)}"
    rota = rota_in_words(terms)
    return TemplateRow(
        key=one.key,
        name=one.name,
        words=f"{words}; {rota}" if rota else words,
        caution=one.caution,
        there=one.name.casefold() in names,
    )


def read_times(told: Told) -> VisitTimes:
    """When which visit begins to count.

    Raises:
        InputError: no times, or times that don't follow each other.
    """
    typed = {visit: (told.get(visit.value) or [""])[-1].strip() for visit in Visit}
    times = {visit: time_in(text, f"The {visit.value}") for visit, text in typed.items() if text}
    missing = [visit for visit in (Visit.MORNING, Visit.EVENING) if visit not in times]
    if missing:
        raise InputError(f"The {missing[0].value}: nothing is not allowed; allowed: a time.")
    try:
        return VisitTimes(
            morning=times[Visit.MORNING],
            midday=times.get(Visit.MIDDAY),
            evening=times[Visit.EVENING],
        )
    except ValueError as error:
        raise InputError(f"The visits: {error}, also over midnight.") from error


def times_in_words(times: VisitTimes) -> str:
    """For the record of changes."""
    told = {"morning": times.morning, "midday": times.midday, "evening": times.evening}
    return ", ".join(f"{name} from {at:%H:%M}" for name, at in told.items() if at is not None)


def duty_in_words(terms: DutyTerms, places: Sequence[Place], times: VisitTimes) -> str:
    """For the record of changes: everything that may have been changed."""
    where = where_in_words(terms.where, {place.id: place.name for place in places})
    parts = [terms.name, where, when_in_words(terms, times), _more(terms)]
    if terms.rota and terms.rota_first is not None:
        parts.append(f"{rota_in_words(terms)} from {day_word(terms.rota_first)} on")
    if terms.caution:
        parts.append(terms.caution)
    return "; ".join([*parts, *(["off"] if terms.off else [])])
