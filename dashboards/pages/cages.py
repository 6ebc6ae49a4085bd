"""Cages, boxes and flights as things: sizes, fit-out lists, and what is missing where."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.as_shown import MEANWHILE, is_stale, mark_of
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.cage_view import (
    cage_rows,
    cage_view,
    list_views,
    missing_view,
    read_list,
    read_looks,
    read_size,
    size_in_words,
)
from dashboards.wall_watch import WallWatch
from service.errors import NotKnownError
from service.nests.fit_out import FITTED, FitOut, Size, fit_outs
from service.nests.place import Place, PlaceKind
from service.people.role import Role, Visitor
from service.store.kept_settings import Change

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
ALL = "/setup/cages"


@router.get("/setup/cages")
def cages(request: Request, services: Services, wall: Wall) -> Response:
    found, places = _fit_outs(services), services.settings.places
    return setup_page(
        request,
        services,
        wall,
        template="cages.html",
        title="Sizes and fit-out",
        view=cage_rows(found, services.cages.sizes(), places),
        may_change=request.state.visitor.role is Role.KEEPER,
        has_list=any(one.items for one in found),
    )


@router.get("/setup/cages/missing")
def missing(request: Request, services: Services, wall: Wall) -> Response:
    zone = services.settings.site.timezone
    view = missing_view(_fit_outs(services), services.clock.now(), zone)
    return setup_page(
        request, services, wall, template="cages_missing.html", title="What is missing", view=view
    )


@router.get("/setup/cages/{place_id}")
def cage(place_id: str, request: Request, services: Services, wall: Wall) -> Response:
    return _one(request, services, wall, place_id)


@router.post("/setup/cages/{place_id}/size")
def put_size(  # noqa: PLR0917 - what a route asks for
    place_id: str, request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    place = _place(services, place_id)
    typed = text_of(form)
    size = read_size(typed, place.kind)
    if isinstance(size, tuple):
        return _one(request, services, wall, place_id, typed=typed, wrong=size)
    sizes: dict[str, Size | None] = {place.id: size}
    if size is not None and typed.get("alike") == "yes":
        known = services.cages.sizes()
        alike = [one for one in services.settings.places if one.kind is place.kind]
        sizes |= {one.id: size for one in alike if one.id not in known}
    before = services.cages.sizes().get(place.id)
    services.cages.put_sizes(sizes)
    if before != size:
        services.changes.note(
            Change(
                at=services.clock.now(),
                by=who.name,
                what=f"The size of {place.name} was set (width x depth x height).",
                before=size_in_words(before),
                after=size_in_words(size),
            )
        )
    return RedirectResponse(f"{ALL}/{place.id}", 303)


@router.post("/setup/cages/{place_id}/looked")
def put_looks(place_id: str, services: Services, who: Who, form: Form) -> Response:
    place = _place(services, place_id)
    items = [item for item in services.cages.items() if item.kind is place.kind]
    told = read_looks(text_of(form), items)
    services.cages.put_seen(place.id, told, by=who.name, at=services.clock.now())
    return RedirectResponse(f"{ALL}/{place.id}", 303)


@router.get("/setup/fit-out")
def lists(request: Request, services: Services, wall: Wall) -> Response:
    return _lists(request, services, wall)


@router.post("/setup/fit-out")
def put_list(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    typed = text_of(form)
    kind = next((one for one in FITTED if one.value == typed.get("kind")), None)
    if kind is None:
        raise NotKnownError("There is no such list.")
    shown = next(one.text for one in list_views(services.cages.items()) if one.kind == kind.value)
    if is_stale(typed, shown):
        now = ", ".join(shown.splitlines()) or "nothing"
        return _lists(request, services, wall, typed, (MEANWHILE, f"The list holds now: {now}."))
    names = read_list(typed.get("items", ""))
    if isinstance(names, str):
        return _lists(request, services, wall, typed, (f"The list of a {kind.value}: {names}",))
    before = [item.name for item in services.cages.items() if item.kind is kind]
    services.cages.put_items(kind, names)
    _note(services, who, kind, before, list(names))
    return RedirectResponse("/setup/fit-out", 303)


def _note(
    services: PageServices, who: Visitor, kind: PlaceKind, before: list[str], after: list[str]
) -> None:
    if before != after:
        services.changes.note(
            Change(
                at=services.clock.now(),
                by=who.name,
                what=f"The fit-out list of a {kind.value} was changed.",
                before=", ".join(before) or None,
                after=", ".join(after) or None,
            )
        )


def _fit_outs(services: PageServices) -> tuple[FitOut, ...]:
    store = services.cages
    return fit_outs(services.settings.places, store.items(), store.seen())


def _place(services: PageServices, place_id: str) -> Place:
    for place in services.settings.places:
        if place.id == place_id and place.kind in FITTED:
            return place
    raise NotKnownError("There is no such cage, box or flight.")


def _one(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    place_id: str,
    *,
    typed: dict[str, str] | None = None,
    wrong: tuple[str, ...] = (),
) -> Response:
    view = cage_view(
        _fit_outs(services),
        place_id,
        services.cages.sizes(),
        services.settings.places,
        typed=typed or {},
        now=services.clock.now(),
    )
    if view is None:
        raise NotKnownError("There is no such cage, box or flight.")
    return setup_page(
        request,
        services,
        wall,
        template="cage.html",
        title=view.name,
        view=view,
        wrong=wrong,
        may_change=request.state.visitor.role is Role.KEEPER,
    )


def _lists(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    typed: dict[str, str] | None = None,
    wrong: tuple[str, ...] = (),
) -> Response:
    return setup_page(
        request,
        services,
        wall,
        template="fit_out.html",
        title="Fit-out lists",
        view=list_views(services.cages.items()),
        mark_of=mark_of,
        typed=typed or {},
        wrong=wrong,
    )
