"""The clocks of mites and mould: when to look, and one tap to say what was done."""

from typing import Annotated
from uuid import UUID, uuid4

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import RowId, Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.clocks_view import clocks_view
from dashboards.views.typed_time import typed_time
from dashboards.wall_watch import WallWatch
from service.answers.clocks import TREATED_KINDS, Clocks
from service.errors import InputError
from service.nests.place import PlaceKind
from service.nests.treatment import LONGEST_AGO, LONGEST_WORDS, Against

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
PAGE = "/air/clocks"


@router.get(PAGE)
def clocks(request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall)


@router.post("/air/clocks/treated")
def treated(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    try:
        _tell(services, told, who.name)
    except InputError as error:
        return _page(request, services, wall, wrong=(str(error),), typed=told)
    return RedirectResponse(f"{PAGE}#told", 303)


@router.post("/air/clocks/treated/{treatment:int}/undo")
def undo(treatment: RowId, services: Services, who: Who) -> Response:
    services.treatments.undo(treatment, at=services.clock.now(), by=who.name)
    return RedirectResponse(f"{PAGE}#told", 303)


@router.post("/air/clocks/treated/{treatment:int}/back")
def put_back(treatment: RowId, services: Services) -> Response:
    services.treatments.put_back(treatment)
    return RedirectResponse(f"{PAGE}#told", 303)


def _tell(services: PageServices, told: dict[str, str], by: str | None) -> None:
    """Raises InputError: the form tells no place, no known treatment, or no time that was."""
    now, settings = services.clock.now(), services.settings
    known = {place.id for place in settings.places}
    place = told.get("place", "")
    if place not in known:
        raise InputError(f"{place[:40] or 'Nothing'} is no place of the shed.")
    try:
        against, form_id = Against(told.get("against", "")), UUID(told.get("form_id", ""))
    except ValueError as error:
        raise InputError("Say what was done: against mites, or cleaned of mould.") from error
    when = told.get("at", "").strip()
    at = typed_time(when, settings.site.timezone, now=now) if when else now
    if at > now:
        raise InputError(f"{when[:40]} is still to come: a treatment is told when it was given.")
    if at < now - LONGEST_AGO:
        raise InputError(f"{when[:40]} is more than three years ago: see that the year is right.")
    words = told.get("words", "")
    services.treatments.tell(place, against, at=at, words=words, by=by, form_id=form_id)


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    wrong: tuple[str, ...] = (),
    typed: dict[str, str] | None = None,
) -> Response:
    now, settings = services.clock.now(), services.settings
    told = tuple(services.treatments.treatments())
    read = Clocks(services.readings, settings, told, now)
    names = {place.id: place.name for place in settings.places}
    view = clocks_view(read.told(), told, names, now, settings.site.timezone)
    treated_kinds = (*TREATED_KINDS, PlaceKind.SURFACE)
    return setup_page(
        request,
        services,
        wall,
        template="air_clocks.html",
        title="Mites and mould",
        view=view,
        wrong=wrong,
        typed=typed or {},
        places=[place for place in settings.places if place.kind in treated_kinds],
        longest=LONGEST_WORDS,
        new_id=lambda: str(uuid4()),
    )
