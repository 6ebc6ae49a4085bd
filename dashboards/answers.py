"""What the keeper answers about the shed, the lamps and the cages: read, shown, kept.

The same questions are put on the first day and under set-up. What can be shown to be right or
wrong (the sun, the hours of light) is shown before it is kept: an answer that nobody has seen
worked out comes back once.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Generic, TypeVar

from dashboards.page_services import PageServices
from dashboards.views.cages_form import CagesFormView, cages_form_view, read_cages, typed_cages
from dashboards.views.lamps_form import (
    DIM,
    OFF,
    ON,
    LampsFormView,
    lamps_form_view,
    read_lamps,
    typed_lamps,
)
from dashboards.views.light_maker_form import fixed_steps
from dashboards.views.shed_form import (
    NAME,
    WHERE,
    ZONE,
    ShedAnswer,
    ShedFormView,
    read_shed,
    shed_form_view,
    typed_shed,
)
from service.climate.light_plan import LampSchedule
from service.errors import ConfigurationError, InputError
from service.people.role import Visitor
from service.settings import edits
from service.settings.editing import Edit, both
from service.settings.settings import Settings

Told = Mapping[str, str]
_View_co = TypeVar("_View_co", covariant=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked(Generic[_View_co]):
    """The question with what was typed; ``kept`` once it is done, ``wrong`` where it can't be.

    Neither: it was worked out, and waits for another press.
    """

    view: _View_co
    wrong: tuple[str, ...] = ()
    kept: bool = False


def change(services: PageServices, visitor: Visitor, edit: Callable[[], Edit]) -> tuple[str, ...]:
    """Make a change of the settings; the faults in words, none where all is done.

    ``edit`` is called here, so that one which can't be made is told in the same way.
    """
    try:
        services.editor.change(edit(), by=visitor.name, at=services.clock.now())
    except ConfigurationError as error:
        return error.faults
    except InputError as error:
        return (str(error),)
    return ()


def would_be_wrong(services: PageServices, edit: Edit) -> tuple[str, ...]:
    """The faults in words that a change would bring; nothing is changed."""
    try:
        services.editor.refuse_what_cannot_be(edit)
    except ConfigurationError as error:
        return error.faults
    except InputError as error:
        return (str(error),)
    return ()


def answer_shed(told: Told, services: PageServices, visitor: Visitor) -> Asked[ShedFormView]:
    """Keep the shed's name, zone and place once the sun there was shown."""
    settings, now = services.settings, services.clock.now()
    form = typed_shed(told, settings)
    read = read_shed(form)
    if not isinstance(read, ShedAnswer):
        return Asked(view=shed_form_view(form, None, settings, now), wrong=read)
    view = shed_form_view(form, read, settings, now)
    if told.get("go") == "look" or told.get("shown") != view.shown:
        return Asked(view=view)
    wrong = change(services, visitor, lambda: _shed_edit(read, settings.fixed))
    return Asked(view=view, wrong=wrong, kept=not wrong)


def _shed_edit(answer: ShedAnswer, fixed: frozenset[tuple[str, ...]]) -> Edit:
    """All that the file leaves open, so that it holds on another machine too."""
    site = answer.site
    where_fixed = WHERE in fixed
    return edits.shed(
        name=edits.KEEP if NAME in fixed else answer.name,
        timezone=edits.KEEP if ZONE in fixed else site.timezone,
        latitude=edits.KEEP if where_fixed else site.latitude,
        longitude=edits.KEEP if where_fixed else site.longitude,
    )


def answer_lamps(told: Told, services: PageServices, visitor: Visitor) -> Asked[LampsFormView]:
    """Keep when the lamps burn once the hours of light were shown."""
    settings = services.settings
    form = typed_lamps(told)
    view = lamps_form_view(form, settings)
    if settings.fixed & {ON, OFF, DIM}:
        return Asked(view=view, kept=True)
    read = read_lamps(form)
    if isinstance(read, tuple):
        return Asked(view=view, wrong=read)
    if read is not None and told.get("shown") != view.shown:
        return Asked(view=view)
    wrong = change(services, visitor, lambda: _lamps_edit(read, settings))
    return Asked(view=view, wrong=wrong, kept=not wrong)


def _lamps_edit(schedule: LampSchedule | None, settings: Settings) -> Edit:
    if schedule is None:
        return both(edits.no_lamps(), edits.lamp_steps(fixed_steps(settings)))
    return edits.lamps(on=schedule.on, off=schedule.off, dim=schedule.dim)


def answer_cages(told: Told, services: PageServices, visitor: Visitor) -> Asked[CagesFormView]:
    """Make the cages and their boxes, where there are none yet."""
    settings = services.settings
    form = typed_cages(told)
    view = cages_form_view(form, settings)
    read = read_cages(form)
    if isinstance(read, tuple):
        return Asked(view=view, wrong=read)
    if view.walk:
        there = ("There are cages or boxes already: change them under Set-up, places.",)
        return Asked(view=view, wrong=there)
    made = read
    wrong = change(services, visitor, lambda: edits.cages(count=made.count, boxes_each=made.each))
    return Asked(view=view, wrong=wrong, kept=not wrong)
