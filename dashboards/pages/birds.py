"""Birds: found while typing, each with parents, kin, notes, changes, and a sheet to hand over."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.book_known import known_of, shed_day
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of, why_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.bird_form import NewNote, bird_form_view, read_bird, read_note, typed_of
from dashboards.views.bird_names import bird_label
from dashboards.views.bird_sheet import sheet_view
from dashboards.views.bird_view import BirdView, bird_view, birds_view
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError
from service.nests.nest import Bird
from service.people.role import Role
from service.store.bird_book import mark_of
from service.store.faulty_bird import FaultyBirdError
from service.store.nest_book import ChangedMeanwhileError

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
ALL = "/setup/birds"

MEANWHILE = (
    "Somebody else has changed this bird since you opened it. What stands in the book now is "
    "on its page; look there, then change it again."
)


@router.get("/setup/birds")
def birds(request: Request, services: Services, wall: Wall, q: str = "") -> Response:
    return setup_page(
        request,
        services,
        wall,
        template="birds.html",
        title="Birds",
        view=birds_view(known_of(services), q[:100]),
        may_change=_may_change(request),
    )


@router.get("/setup/birds/new")
def new(request: Request, services: Services, wall: Wall) -> Response:
    return _form(request, services, wall, {"sex": "unknown", "life": "alive"})


@router.post("/setup/birds/new")
def add(request: Request, services: Services, wall: Wall, form: Form) -> Response:
    typed = text_of(form)
    read = _read(typed, 0, services)
    if isinstance(read, tuple):
        return _form(request, services, wall, typed, read)
    try:
        made = services.birds.add(read, today=shed_day(services))
    except FaultyBirdError as error:
        return _form(request, services, wall, typed, error.faults)
    return RedirectResponse(f"{ALL}/{made.id}", 303)


@router.get("/setup/birds/{bird}")
def one(bird: int, request: Request, services: Services, wall: Wall) -> Response:
    return _one(request, services, wall, bird)


@router.get("/setup/birds/{bird}/change")
def form_of(bird: int, request: Request, services: Services, wall: Wall) -> Response:
    found = services.birds.bird(bird)
    typed = typed_of(found, known_of(services).birds) | {"mark": mark_of(found)}
    return _form(request, services, wall, typed, bird=found)


@router.post("/setup/birds/{bird}/change")
def change(  # noqa: PLR0917 - what a route asks for
    bird: int, request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    before = services.birds.bird(bird)
    typed = text_of(form)
    read = _read(typed, bird, services)
    wrong = read if isinstance(read, tuple) else _changed(read, typed, services, who.name)
    if wrong:
        return _form(request, services, wall, typed, wrong, bird=before)
    return RedirectResponse(f"{ALL}/{bird}", 303)


def _changed(
    bird: Bird, typed: dict[str, str], services: PageServices, by: str | None
) -> tuple[str, ...]:
    try:
        services.birds.change(
            bird,
            at=services.clock.now(),
            today=shed_day(services),
            by=by,
            why=why_of(typed),
            based_on=typed.get("mark") or None,
        )
    except FaultyBirdError as error:
        return error.faults
    except ChangedMeanwhileError:
        return (MEANWHILE,)
    except InputError as error:
        return (str(error),)
    return ()


def _read(typed: dict[str, str], bird_id: int, services: PageServices) -> Bird | tuple[str, ...]:
    return read_bird(typed, bird_id, services.birds.birds(), services.settings.places)


@router.post("/setup/birds/{bird}/notes")
def add_note(  # noqa: PLR0917 - what a route asks for
    bird: int, request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    services.birds.bird(bird)
    typed = text_of(form)
    read = read_note(typed, shed_day(services))
    if not isinstance(read, NewNote):
        note = typed.get("on", ""), typed.get("text", "")
        return _one(request, services, wall, bird, wrong=read, note=note)
    at = services.clock.now()
    services.birds.add_note(bird, on=read.on, text=read.text, by=who.name, at=at)
    return RedirectResponse(f"{ALL}/{bird}#notes", 303)


@router.post("/setup/birds/{bird}/undo")
def undo(  # noqa: PLR0917 - what a route asks for
    bird: int, request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    told = text_of(form).get("correction", "")
    found = next((one for one in services.birds.corrections(bird) if str(one.id) == told), None)
    if found is None:
        raise NotKnownError("There is no such change of this bird.")
    try:
        services.birds.undo(
            found.id, by=who.name, at=services.clock.now(), today=shed_day(services)
        )
    except InputError as error:
        return _one(request, services, wall, bird, wrong=_faults(error))
    return RedirectResponse(f"{ALL}/{bird}", 303)


def _faults(error: InputError) -> tuple[str, ...]:
    return error.faults if isinstance(error, FaultyBirdError) else (str(error),)


@router.get("/setup/birds/{bird}/sheet")
def sheet(bird: int, request: Request, services: Services, wall: Wall) -> Response:
    view = sheet_view(_view(services, bird), services.settings.shed_name, shed_day(services))
    return setup_page(
        request, services, wall, template="bird_sheet.html", title=view.label, view=view, bird=bird
    )


def _view(services: PageServices, bird_id: int) -> BirdView:
    found = services.birds.bird(bird_id)
    return bird_view(
        found,
        known_of(services),
        services.birds.notes(bird_id),
        services.birds.corrections(bird_id),
        now=services.clock.now(),
        zone=services.settings.site.timezone,
    )


def _may_change(request: Request) -> bool:
    return request.state.visitor is not None and request.state.visitor.role is Role.KEEPER


def _one(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    bird_id: int,
    *,
    wrong: tuple[str, ...] = (),
    note: tuple[str, str] = ("", ""),
) -> Response:
    view = _view(services, bird_id)
    return setup_page(
        request,
        services,
        wall,
        template="bird.html",
        title=view.label,
        view=view,
        wrong=wrong,
        note={"on": note[0] or shed_day(services).isoformat(), "text": note[1]},
        today=shed_day(services).isoformat(),
        may_change=_may_change(request),
    )


def _form(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    typed: dict[str, str],
    wrong: tuple[str, ...] = (),
    *,
    bird: Bird | None = None,
) -> Response:
    title = f"Change {bird_label(bird)}" if bird else "A new bird"
    others = [one for one in services.birds.birds() if bird is None or one.id != bird.id]
    view = bird_form_view(title, typed, others, services.settings.places, shed_day(services))
    return setup_page(
        request,
        services,
        wall,
        template="bird_form.html",
        title=title,
        view=view,
        wrong=wrong,
        bird=bird.id if bird else None,
    )
