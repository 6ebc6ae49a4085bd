"""Set-up of duties: templates in one tap, every duty as a form, and when the visits are."""

from datetime import date
from typing import Annotated
from uuid import UUID, uuid4

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import RowId, Services, Wall, Who, read_form
from dashboards.form_text import texts_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.duties_view import (
    duties_view,
    duty_in_words,
    read_times,
    times_in_words,
)
from dashboards.views.duty_form import DutyForm, form_of, new_form, read_duty, typed_form
from dashboards.views.duty_form_view import duty_form_view
from dashboards.wall_watch import WallWatch
from service.errors import InputError
from service.nests.duty import Duty, DutyTerms
from service.nests.duty_days import same_but_for_since
from service.nests.duty_templates import TEMPLATES, terms_of
from service.nests.visits import visit_at
from service.people.role import Role, Visitor
from service.store.kept_settings import Change
from service.store.nest_book import ChangedMeanwhileError

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
ALL = "/setup/duties"
_MEANWHILE = (
    "Somebody else changed this duty meanwhile. What you typed is still here: look it over, and "
    "save again to have it so."
)


@router.get("/setup/duties")
def duties(request: Request, services: Services, wall: Wall) -> Response:
    return _all(request, services, wall)


@router.post("/setup/duties")
def add_templates(services: Services, who: Who, form: Form) -> Response:
    key, form_id = str(form.get("template", "")), _form_id(form)
    names = {duty.name.casefold() for duty in services.duties.duties()}
    chosen = [
        one for one in TEMPLATES if key in {one.key, "all"} and one.name.casefold() not in names
    ]
    now, today = services.clock.now(), _today(services)
    terms = [terms_of(one, now=now, today=today) for one in chosen]
    before = len(names)
    if terms:
        services.duties.add(terms, by=who.name, form_id=form_id)
    for one in terms if len(services.duties.duties()) > before else ():
        _note(services, who, f"The duty {one.name} was added.", None, one)
    return RedirectResponse(ALL, 303)


@router.post("/setup/duties/times")
def put_times(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    before = services.duties.visit_times()
    try:
        times = read_times(texts_of(form))
    except InputError as error:
        return _all(request, services, wall, wrong=(str(error),))
    if times != before:
        services.duties.put_visit_times(times)
        change = Change(
            at=services.clock.now(),
            by=who.name,
            what="The visits of a day were set.",
            before=times_in_words(before),
            after=times_in_words(times),
        )
        services.changes.note(change)
    return RedirectResponse(ALL, 303)


@router.get("/setup/duties/new")
def new(request: Request, services: Services, wall: Wall) -> Response:
    return _one(request, services, wall, new_form(_today(services)), form_id=uuid4())


@router.post("/setup/duties/new")
def add(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    typed, form_id = typed_form(texts_of(form)), _form_id(form)
    read = read_duty(typed, services.clock.now(), _places(services))
    if not isinstance(read, DutyTerms):
        return _one(request, services, wall, typed, form_id=form_id, wrong=read)
    before = len(services.duties.duties())
    services.duties.add([read], by=who.name, form_id=form_id)
    if len(services.duties.duties()) > before:
        _note(services, who, f"The duty {read.name} was added.", None, read)
    return RedirectResponse(ALL, 303)


@router.get("/setup/duties/{duty_id:int}")
def duty(duty_id: RowId, request: Request, services: Services, wall: Wall) -> Response:
    found = services.duties.duty(duty_id)
    return _one(request, services, wall, form_of(found.terms, _today(services)), found=found)


@router.post("/setup/duties/{duty_id:int}")
def edit(  # noqa: PLR0917 - what a route asks for
    duty_id: RowId, request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    found, typed = services.duties.duty(duty_id), typed_form(texts_of(form))
    read = read_duty(typed, services.clock.now(), _places(services))
    if not isinstance(read, DutyTerms):
        return _one(request, services, wall, typed, found=found, wrong=read)
    if same_but_for_since(read, found.terms):
        return RedirectResponse(ALL, 303)
    try:
        based_on = str(form.get("revision", ""))
        revision = int(based_on) if based_on.isascii() and based_on.isdigit() else -1
        services.duties.edit(duty_id, read, by=who.name, based_on=revision)
    except ChangedMeanwhileError:
        found = services.duties.duty(duty_id)
        return _one(request, services, wall, typed, found=found, wrong=(_MEANWHILE,))
    _note(services, who, f"The duty {read.name} was changed.", found.terms, read)
    return RedirectResponse(ALL, 303)


@router.post("/setup/duties/{duty_id:int}/away")
def take_away(  # noqa: PLR0917 - what a route asks for
    duty_id: RowId, request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    found = next((one for one in services.duties.duties() if one.id == duty_id), None)
    if found is None:
        return RedirectResponse(ALL, 303)  # a second tap
    if form.get("sure") != "yes":
        shown = form_of(found.terms, _today(services))
        wrong = ("To take it away for good, tick that you mean it.",)
        return _one(request, services, wall, shown, found=found, wrong=wrong)
    services.duties.take_away(duty_id, at=services.clock.now(), by=who.name)
    _note(services, who, f"The duty {found.name} was taken away.", found.terms, None)
    return RedirectResponse(ALL, 303)


def _all(
    request: Request, services: PageServices, wall: WallWatch, wrong: tuple[str, ...] = ()
) -> Response:
    book = services.nest_book
    view = duties_view(
        services.duties.duties(),
        book.places(),
        book.nests(),
        services.duties.visit_times(),
        _today(services),
    )
    return setup_page(
        request,
        services,
        wall,
        template="setup_duties.html",
        title="Duties",
        view=view,
        wrong=wrong,
        form_id=uuid4(),
        may_change=request.state.visitor.role is Role.KEEPER,
    )


def _one(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    form: DutyForm,
    *,
    found: Duty | None = None,
    form_id: UUID | None = None,
    wrong: tuple[str, ...] = (),
) -> Response:
    view = duty_form_view(form, found, services.nest_book.places(), services.duties.visit_times())
    return setup_page(
        request,
        services,
        wall,
        template="setup_duty.html",
        title=view.title,
        view=view,
        wrong=wrong,
        form_id=form_id,
    )


def _places(services: PageServices) -> list[str]:
    return [place.id for place in services.nest_book.places()]


def _today(services: PageServices) -> date:
    zone, times = services.settings.site.timezone, services.duties.visit_times()
    return visit_at(services.clock.now(), zone, times).day


def _form_id(form: FormData) -> UUID:
    try:
        return UUID(str(form.get("form_id", "")))
    except ValueError:
        raise InputError("The form came without its number; open the page again.") from None


def _note(
    services: PageServices,
    who: Visitor,
    what: str,
    before: DutyTerms | None,
    after: DutyTerms | None,
) -> None:
    places, times = services.nest_book.places(), services.duties.visit_times()
    told = [None if one is None else duty_in_words(one, places, times) for one in (before, after)]
    at = services.clock.now()
    services.changes.note(Change(at=at, by=who.name, what=what, before=told[0], after=told[1]))
