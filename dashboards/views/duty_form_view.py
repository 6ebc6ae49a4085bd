"""The form of a duty with all that may be chosen in it. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from dashboards.views.duty_form import CALENDAR, EVERY, SOURS, STAGE, WARM, DutyForm
from service.nests.duty import (
    LONGEST_CAUTION,
    LONGEST_NAME,
    Duty,
    Missed,
    Visit,
    VisitTimes,
    Weekday,
    WhereKind,
)
from service.nests.place import Place, PlaceKind
from service.nests.stage import Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One thing that may be chosen."""

    value: str
    words: str
    chosen: bool
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DutyFormView:
    """``id`` is None for a new one, ``revision`` what was read."""

    id: int | None
    revision: int
    title: str
    form: DutyForm
    wheres: tuple[Choice, ...]
    places: tuple[Choice, ...]
    kinds: tuple[Choice, ...]
    weekdays: tuple[Choice, ...]
    stages: tuple[Choice, ...]
    food_stages: tuple[Choice, ...]
    visits: tuple[Choice, ...]
    misses: tuple[Choice, ...]
    longest_name: int = LONGEST_NAME
    longest_caution: int = LONGEST_CAUTION


_WHERE = {
    WhereKind.EVERY_CAGE: "every cage",
    WhereKind.EVERY_BOX: "every nest box",
    WhereKind.EVERY_FLIGHT: "every flight",
    WhereKind.SHED: "the shed",
    WhereKind.NAMED: "only these places",
}
_MISSES = {
    Missed.DROPPED: ("dropped", "noted as missed, and not asked for again"),
    Missed.CARRIED: ("it stays", "until it is done, and says since when"),
}


def duty_form_view(
    form: DutyForm, found: Duty | None, places: Sequence[Place], times: VisitTimes
) -> DutyFormView:
    """``found`` is the duty that is edited; None for a new one."""
    shown = [
        place
        for place in places
        if place.kind not in {PlaceKind.OUTDOORS, PlaceKind.SURFACE, PlaceKind.JAR}
    ]
    return DutyFormView(
        id=None if found is None else found.id,
        revision=0 if found is None else found.revision,
        title="A new duty" if found is None else found.name,
        form=form,
        wheres=tuple(
            Choice(value=kind.value, words=words, chosen=form.where == kind.value)
            for kind, words in _WHERE.items()
        ),
        places=tuple(
            Choice(value=place.id, words=place.name, chosen=place.id in form.places)
            for place in shown
        ),
        kinds=tuple(
            Choice(value=kind, words=words, chosen=form.kind == kind)
            for kind, words in (
                (CALENDAR, "on days of the week"),
                (EVERY, "every so many days"),
                (STAGE, "by what the nest is busy with"),
                (WARM, "on a warm day"),
                (SOURS, "before food sours"),
            )
        ),
        weekdays=tuple(
            Choice(value=day.name, words=day.name.capitalize(), chosen=day.name in form.weekdays)
            for day in Weekday
        ),
        stages=tuple(
            Choice(value=stage.value, words=stage.value, chosen=stage.value in form.stages)
            for stage in Stage
        ),
        food_stages=tuple(
            Choice(value=stage.value, words=stage.value, chosen=stage.value in form.food_stages)
            for stage in Stage
        ),
        visits=tuple(
            Choice(
                value=visit.value,
                words=visit.value,
                chosen=visit.value in form.visits,
                note=_visit_note(visit, times),
            )
            for visit in Visit
        ),
        misses=tuple(
            Choice(value=kind.value, words=words, note=note, chosen=form.missed == kind.value)
            for kind, (words, note) in _MISSES.items()
        ),
    )


def _visit_note(visit: Visit, times: VisitTimes) -> str:
    if visit is Visit.MIDDAY and times.midday is None:
        return "no visit at midday: the evening does it"
    told = {Visit.MORNING: times.morning, Visit.MIDDAY: times.midday, Visit.EVENING: times.evening}
    return f"from {told[visit]:%H:%M} on"
