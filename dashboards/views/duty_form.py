"""A duty as a form: what stands in its fields, and what was typed into them. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from dashboards.views.duty_fields import day_in, line_in, lines_in, number_in, time_in, whole_in
from service.climate.food_clock import LONGEST_H, SHORTEST_H, USUAL, Keeping, KeepsTo
from service.errors import InputError
from service.nests.duty import (
    LONGEST_CAUTION,
    LONGEST_NAME,
    BeforeItSours,
    ByCalendar,
    ByStage,
    DutyTerms,
    DutyWhere,
    EveryDays,
    Missed,
    OnWarmDay,
    RotaStep,
    Schedule,
    Visit,
    Weekday,
    WhereKind,
)
from service.nests.stage import Stage

Told = Mapping[str, Sequence[str]]
"""The fields of a form, each with all that was sent of it."""

CALENDAR, EVERY, STAGE, WARM, SOURS = "calendar", "every", "stage", "warm", "sours"
STEPS = 4
MOST_DAYS = 366
MOST_MINUTES = 600
LONGEST_STEP = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class StepForm:
    """One step of the rota, as typed."""

    words: str = ""
    days: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyForm:
    """As typed. ``kind`` is one of ``calendar``, ``every``, ``stage``, ``warm``,
    ``sours``. ``keeps`` are the temperatures and hours of food, ``hotter`` the hours above them.
    """

    name: str = ""
    where: str = WhereKind.EVERY_CAGE.value
    places: frozenset[str] = frozenset()
    kind: str = CALENDAR
    weekdays: frozenset[str] = frozenset(day.name for day in Weekday)
    days: str = "7"
    first: str = ""
    stages: frozenset[str] = frozenset()
    every: str = "1"
    over: str = "25"
    hours: str = "4"
    put_out: str = "07:00"
    food_stages: frozenset[str] = frozenset()
    keeps: tuple[tuple[str, str], ...] = tuple(
        (f"{step.up_to_c:g}", f"{step.hours:g}") for step in USUAL.steps
    )
    hotter: str = f"{USUAL.hotter_h:g}"
    visits: frozenset[str] = frozenset({Visit.MORNING.value})
    steps: tuple[StepForm, ...] = (StepForm(),) * STEPS
    rota_first: str = ""
    minutes: str = "1"
    missed: str = Missed.DROPPED.value
    caution: str = ""
    look: bool = False
    off: bool = False


def new_form(today: date) -> DutyForm:
    """An empty one; intervals and rotas begin today unless told otherwise."""
    return DutyForm(first=today.isoformat(), rota_first=today.isoformat())


def form_of(terms: DutyTerms, today: date) -> DutyForm:
    """A duty as it stands."""
    steps = [StepForm(words=step.words, days=str(step.days)) for step in terms.rota]
    form = replace(
        new_form(today),
        name=terms.name,
        where=terms.where.kind.value,
        places=frozenset(terms.where.places),
        visits=frozenset(visit.value for visit in terms.visits),
        steps=(*steps, *(StepForm(),) * (STEPS - len(steps))),
        minutes=f"{terms.minutes:g}",
        missed=terms.missed.value,
        caution=terms.caution,
        look=terms.look,
        off=terms.off,
    )
    if terms.rota_first is not None:
        form = replace(form, rota_first=terms.rota_first.isoformat())
    return _with_schedule(form, terms.schedule)


def _with_schedule(form: DutyForm, schedule: Schedule) -> DutyForm:
    if isinstance(schedule, ByCalendar):
        return replace(form, kind=CALENDAR, weekdays=frozenset(d.name for d in schedule.weekdays))
    if isinstance(schedule, EveryDays):
        first = schedule.first.isoformat()
        return replace(form, kind=EVERY, days=str(schedule.days), first=first)
    if isinstance(schedule, ByStage):
        stages = frozenset(stage.value for stage in schedule.stages)
        return replace(form, kind=STAGE, stages=stages, every=str(schedule.every))
    if isinstance(schedule, BeforeItSours):
        steps = schedule.keeping.steps
        return replace(
            form,
            kind=SOURS,
            put_out=f"{schedule.put_out:%H:%M}",
            food_stages=frozenset(stage.value for stage in schedule.stages),
            keeps=tuple((f"{step.up_to_c:g}", f"{step.hours:g}") for step in steps),
            hotter=f"{schedule.keeping.hotter_h:g}",
        )
    return replace(form, kind=WARM, over=f"{schedule.over_c:g}", hours=f"{schedule.every_h:g}")


def typed_form(told: Told) -> DutyForm:
    """What was typed, whatever it is."""

    def last(name: str) -> str:
        return (told.get(name) or [""])[-1].strip()

    return DutyForm(
        name=" ".join(last("name").split()),
        where=last("where"),
        places=frozenset(told.get("place", ())),
        kind=last("kind"),
        weekdays=frozenset(told.get("weekday", ())),
        days=last("days"),
        first=last("first"),
        stages=frozenset(told.get("stage", ())),
        every=last("every"),
        over=last("over"),
        hours=last("hours"),
        put_out=last("put_out"),
        food_stages=frozenset(told.get("food_stage", ())),
        keeps=tuple(
            (last(f"keeps.{n}.to"), last(f"keeps.{n}.hours"))
            for n in range(1, len(USUAL.steps) + 1)
        ),
        hotter=last("hotter"),
        visits=frozenset(told.get("visit", ())),
        steps=tuple(
            StepForm(words=" ".join(last(f"step.{n}.words").split()), days=last(f"step.{n}.days"))
            for n in range(1, STEPS + 1)
        ),
        rota_first=last("rota_first"),
        minutes=last("minutes"),
        missed=last("missed"),
        caution=last("caution"),
        look=last("look") == "yes",
        off=last("off") == "yes",
    )


def read_duty(form: DutyForm, now: datetime, known: Sequence[str]) -> DutyTerms | tuple[str, ...]:
    """The duty that was meant, from ``now`` on; or every fault in words.

    ``known`` are the ids of all places.
    """
    wrong: list[str] = []
    read = _Reading(form, known)
    parts: dict[str, Any] = {}
    for part in (read.name, read.where, read.schedule, read.visits, read.rota, read.rest):
        try:
            parts |= part()
        except InputError as error:
            wrong.append(str(error))
    return tuple(wrong) if wrong else DutyTerms(since=now, **parts)


class _Reading:
    """Reads a form part by part; each raises InputError with a sentence."""

    def __init__(self, form: DutyForm, known: Sequence[str]) -> None:
        self._form = form
        self._known = known

    def name(self) -> dict[str, object]:
        name = line_in(self._form.name, LONGEST_NAME, "The name")
        if not name:
            raise InputError("The duty needs a name, such as Seed.")
        caution = lines_in(self._form.caution, LONGEST_CAUTION, "The caution")
        return {"name": name, "caution": caution}

    def where(self) -> dict[str, object]:
        try:
            kind = WhereKind(self._form.where)
        except ValueError as error:
            raise InputError("Say for which places the duty is.") from error
        if kind is not WhereKind.NAMED:
            return {"where": DutyWhere(kind=kind)}
        places = tuple(place for place in self._known if place in self._form.places)
        if not places:
            raise InputError("Named places: tick at least one of them.")
        return {"where": DutyWhere(kind=kind, places=places)}

    def schedule(self) -> dict[str, object]:
        readers = {
            CALENDAR: self._calendar,
            EVERY: self._every,
            STAGE: self._stage,
            WARM: self._warm,
            SOURS: self._sours,
        }
        if self._form.kind not in readers:
            raise InputError("Say when the duty is due.")
        return {"schedule": readers[self._form.kind]()}

    def _calendar(self) -> Schedule:
        weekdays = frozenset(day for day in Weekday if day.name in self._form.weekdays)
        if not weekdays:
            raise InputError("Days of the week: tick at least one.")
        return ByCalendar(weekdays=weekdays)

    def _every(self) -> Schedule:
        days = whole_in(self._form.days, 1, MOST_DAYS, "Every so many days")
        return EveryDays(days=days, first=day_in(self._form.first, "The first of these days"))

    def _stage(self) -> Schedule:
        stages = frozenset(stage for stage in Stage if stage.value in self._form.stages)
        if not stages:
            raise InputError("Stages of the nest: tick at least one.")
        every = whole_in(self._form.every, 1, MOST_DAYS, "In these stages every so many days")
        return ByStage(stages=stages, every=every)

    def _warm(self) -> Schedule:
        over = number_in(self._form.over, -10, 50, "A warm day, in degrees")
        hours = number_in(self._form.hours, 1, 24, "Again after so many hours")
        return OnWarmDay(over_c=over, every_h=hours)

    def _sours(self) -> Schedule:
        put_out = time_in(self._form.put_out, "Put out at")
        steps = tuple(
            KeepsTo(
                up_to_c=number_in(to, -10, 50, "Food keeps, up to degrees"),
                hours=number_in(hours, SHORTEST_H, LONGEST_H, f"Food keeps up to {to}°, hours"),
            )
            for to, hours in self._form.keeps
            if to or hours
        )
        hotter = number_in(self._form.hotter, SHORTEST_H, LONGEST_H, "Food keeps where hotter")
        try:
            keeping = Keeping(steps=steps, hotter_h=hotter)
        except ValueError as error:
            raise InputError(f"How long food keeps: {error}.") from error
        stages = frozenset(stage for stage in Stage if stage.value in self._form.food_stages)
        return BeforeItSours(put_out=put_out, stages=stages, keeping=keeping)

    def visits(self) -> dict[str, object]:
        if self._form.kind == SOURS:
            return {"visits": tuple(Visit)}
        visits = tuple(visit for visit in Visit if visit.value in self._form.visits)
        if not visits:
            raise InputError("Visits: tick at least one of morning, midday and evening.")
        return {"visits": visits}

    def rota(self) -> dict[str, object]:
        steps = [step for step in self._form.steps if step.words or step.days]
        if not steps:
            return {"rota": (), "rota_first": None}
        first = day_in(self._form.rota_first, "The first day of the rota")
        return {"rota": tuple(map(_step, steps)), "rota_first": first}

    def rest(self) -> dict[str, object]:
        try:
            missed = Missed(self._form.missed)
        except ValueError as error:
            raise InputError("Say what becomes of the duty when it is missed.") from error
        if self._form.kind in (WARM, SOURS):
            missed = Missed.DROPPED
        minutes = number_in(self._form.minutes, 0, MOST_MINUTES, "Minutes for one place")
        return {
            "missed": missed,
            "minutes": minutes,
            "look": self._form.look,
            "off": self._form.off,
        }


def _step(step: StepForm) -> RotaStep:
    words = line_in(step.words, LONGEST_STEP, "A step of the rota")
    if not words:
        raise InputError(f"A step of the rota of {step.days} days: say what is done then.")
    return RotaStep(words=words, days=whole_in(step.days, 1, MOST_DAYS, f"Rota, {words}: days"))
