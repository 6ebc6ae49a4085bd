"""Set-up: all that is set, and the spans that due dates are reckoned with."""

from dataclasses import fields, replace
from datetime import datetime
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.setup_view import setup_view
from dashboards.wall_watch import WallWatch
from service.errors import InputError
from service.nests.species import DaySpan, SpeciesSettings
from service.people.role import Role
from service.store.kept_settings import Change

router = APIRouter()


@router.get("/setup")
def setup(request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall)


@router.post("/setup/species")
def put_species(
    request: Request,
    services: Services,
    wall: Wall,
    who: Who,
    form: Annotated[FormData, Depends(read_form)],
) -> Response:
    told = {name: str(value) for name, value in form.items()}
    before = services.nest_book.species()
    try:
        after = edited_species(before, told)
        services.nest_book.put_species(after)
    except InputError as error:
        return _page(request, services, wall, wrong=str(error), status=422)
    for change in _changes(before, after, who.name, services.clock.now()):
        services.changes.note(change)
    return RedirectResponse("/setup", 303)


def edited_species(species: SpeciesSettings, form: dict[str, str]) -> SpeciesSettings:
    """The species' settings with the spans that the form names.

    A span that was changed by hand has the keeper as its source.

    Raises:
        InputError: a span is no number of days, or ends before it begins.
    """
    changed: dict[str, DaySpan] = {}
    for field in fields(species):
        old = getattr(species, field.name)
        least, most = form.get(f"{field.name}.least"), form.get(f"{field.name}.most")
        if not isinstance(old, DaySpan) or least is None or most is None:
            continue
        new = _span(field.name, least, most)
        if (new.least, new.most) != (old.least, old.most):
            changed[field.name] = new
    eggs = form.get("eggs_before_sitting", str(species.eggs_before_sitting))
    try:
        return replace(species, eggs_before_sitting=int(eggs), **changed)
    except ValueError as error:
        raise InputError(f"eggs before sitting: {error}") from error


def _changes(
    before: SpeciesSettings, after: SpeciesSettings, by: str | None, at: datetime
) -> list[Change]:
    """What was changed, for the record of changes."""
    pairs = [
        (one.name, getattr(before, one.name), getattr(after, one.name)) for one in fields(after)
    ]
    return [
        Change(
            at=at,
            by=by,
            what=f"Days in the nest book: {name.replace('_', ' ')}.",
            before=_in_words(old),
            after=_in_words(new),
        )
        for name, old, new in pairs
        if old != new
    ]


def _in_words(value: object) -> str:
    if isinstance(value, DaySpan):
        return f"{value.least:g} to {value.most:g} days"
    return str(value)


def _span(name: str, least: str, most: str) -> DaySpan:
    words = name.replace("_", " ")
    try:
        days = float(least.replace(",", ".")), float(most.replace(",", "."))
    except ValueError as error:
        raise InputError(f"{words}: {least!r} to {most!r} is no number of days") from error
    if not all(0 <= day <= 365 for day in days):
        raise InputError(f"{words}: days run from 0 to 365")
    try:
        return DaySpan(least=days[0], most=days[1], source="set by you")
    except ValueError as error:
        raise InputError(f"{words}: {error}") from error


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    wrong: str | None = None,
    status: int = 200,
) -> Response:
    snapshot = wall.current()
    heartbeat = services.heartbeat()
    standing = heartbeat.broker if heartbeat else "unknown: watch shows no sign of life"
    return page(
        request,
        "setup.html",
        status=status,
        frame=frame("Set-up", snapshot, services),
        view=setup_view(services.settings, services.nest_book.species(), standing),
        may_change=request.state.visitor.role is Role.KEEPER,
        wrong=wrong,
        version=snapshot.version,
    )
