"""Set-up of places: names, walking order, what is added and what is taken away."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import change
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.names import name_faults
from dashboards.views.places_view import (
    Hanging,
    NewPlace,
    PlaceRow,
    new_id,
    new_order,
    places_view,
    read_new_place,
)
from dashboards.wall_watch import WallWatch
from service.errors import NotKnownError
from service.settings import edits
from service.settings.editing import Edit, both

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
ALL = "/setup/places"
_STEP = 10
_LAST = 9999


@router.get("/setup/places")
def places(request: Request, services: Services, wall: Wall) -> Response:
    return _all(request, services, wall)


@router.post("/setup/places")
def add_place(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    settings = services.settings
    typed = text_of(form)
    read = read_new_place(typed, settings.places)
    if isinstance(read, tuple):
        return _all(request, services, wall, typed, read)
    wrong = change(services, who, lambda: _added(read, services))
    if wrong:
        return _all(request, services, wall, typed, wrong)
    return RedirectResponse(f"{ALL}#end", 303)


def _added(new: NewPlace, services: PageServices) -> Edit:
    """At the end of the walk; a box behind what it stands in."""
    known = services.settings.places
    around = [one.order for one in known if new.within in {one.id, one.within}]
    last = max((one.order for one in known), default=0)
    order = max(around) + 1 if new.within and around and new.joins else last + _STEP
    return edits.place(
        new_id(new.kind, {one.id for one in known}),
        kind=new.kind,
        name=new.name,
        within=new.within,
        order=min(order, _LAST),
    )


@router.post("/setup/walk")
def put_order(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    typed = text_of(form)
    ordered = new_order(typed, services.settings.places)
    if isinstance(ordered, str):
        return _all(request, services, wall, typed, (ordered,))
    step = max(1, min(_STEP, _LAST // max(1, len(ordered))))
    numbered = [
        edits.place(
            place.id,
            kind=place.kind,
            name=place.name,
            within=place.within,
            order=at * step,
        )
        for at, place in enumerate(ordered, start=1)
    ]
    wrong = change(services, who, lambda: _walk(numbered))
    return _all(request, services, wall, typed, wrong) if wrong else RedirectResponse(ALL, 303)


def _walk(numbered: list[Edit]) -> Edit:
    whole = both(*numbered)
    return Edit(what="The walking order was changed.", touches=whole.touches, apply=whole.apply)


@router.get("/setup/places/{place_id}")
def place(place_id: str, request: Request, services: Services, wall: Wall) -> Response:
    return _one(request, services, wall, _row(place_id, services))


@router.post("/setup/places/{place_id}")
def rename(  # noqa: PLR0917 - what a route asks for
    place_id: str, request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    row = _row(place_id, services)
    name = text_of(form).get("name", "").strip()
    wrong = name_faults(name, "Name") or change(
        services, who, lambda: edits.rename_place(row.id, name)
    )
    if wrong:
        return _one(request, services, wall, row, wrong=wrong, name=name)
    return RedirectResponse(ALL, 303)


@router.post("/setup/places/{place_id}/remove")
def remove(place_id: str, request: Request, services: Services, wall: Wall, who: Who) -> Response:
    row = _row(place_id, services)
    if row.may_go:
        wrong = change(services, who, lambda: edits.remove_place(row.id))
    else:
        held = ", ".join(row.holds) or "it is set in the file"
        wrong = (f"{row.name} can't be taken away: {held}.",)
    if wrong:
        return _one(request, services, wall, row, wrong=wrong)
    return RedirectResponse(ALL, 303)


def _row(place_id: str, services: PageServices) -> PlaceRow:
    row = places_view(services.settings, hanging(services)).row(place_id)
    if row is None:
        raise NotKnownError("There is no such place.")
    return row


def hanging(services: PageServices) -> Hanging:
    """What the nest book and the readings hang on places."""
    book = services.nest_book
    boxes = {nest.box.id for nest in book.nests() if nest.clutch or nest.checks}
    return Hanging(
        birds=boxes | {pair.cage for pair in book.pairs()},
        readings={series.place for series in services.readings.series()},
    )


def _all(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    typed: dict[str, str] | None = None,
    wrong: tuple[str, ...] = (),
) -> Response:
    view = places_view(services.settings, hanging(services))
    return setup_page(
        request,
        services,
        wall,
        template="setup_places.html",
        title="Cages, boxes, places",
        view=view,
        wrong=wrong,
        typed=typed or {},
    )


def _one(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    row: PlaceRow,
    *,
    wrong: tuple[str, ...] = (),
    name: str | None = None,
) -> Response:
    return setup_page(
        request,
        services,
        wall,
        template="setup_place.html",
        title=row.name,
        view=row,
        wrong=wrong,
        name=row.name if name is None else name,
    )
