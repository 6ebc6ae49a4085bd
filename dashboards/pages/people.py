"""People: who may come in, new helpers and keepers, new passwords, and leaving."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.local_words import moment
from dashboards.views.people_view import people_view
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError
from service.people.names import person_name
from service.people.passwords import acceptable, one_time_password, password_hash
from service.people.role import Role, Visitor
from service.store.kept_settings import Change
from service.store.people_store import Person

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]

ONE_TIME_LASTS = timedelta(days=3)


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A one-time password that was just made: shown now, and never again."""

    name: str
    password: str
    until: str


@router.get("/people")
def people(request: Request, services: Services, wall: Wall, who: Who) -> Response:
    return _page(request, services, wall, who)


@router.post("/people")
def add(request: Request, services: Services, wall: Wall, *, who: Who, form: Form) -> Response:
    told = {name: str(value) for name, value in form.items()}
    try:
        name, role = person_name(told.get("name", "")), _role(told.get("role", ""))
        made = _password(told.get("new_password", ""), name, services)
        services.people.add(
            name, role, made.kept, services.clock.now(), one_time_until=made.one_time_until
        )
    except InputError as error:
        return _page(request, services, wall, who, wrong=str(error), told=told)
    _note(services, who, f"{name} may come in as {role.value}")
    return _done(request, services, wall, who, name=name, made=made)


@router.post("/people/{person}/password")
def set_password(
    person: int, request: Request, services: Services, wall: Wall, *, who: Who, form: Form
) -> Response:
    found = _person(services, person)
    if found.name == who.name:
        return RedirectResponse("/password", 303)
    try:
        made = _password(str(form.get("new_password", "")), found.name, services)
    except InputError as error:
        return _page(request, services, wall, who, wrong=str(error))
    services.people.set_password(found.id, made.kept, one_time_until=made.one_time_until)
    _note(services, who, f"{found.name}: a new password was set for them")
    return _done(request, services, wall, who, name=found.name, made=made)


@router.post("/people/{person}/leave")
def leave(person: int, request: Request, services: Services, wall: Wall, who: Who) -> Response:
    found = _person(services, person)
    try:
        services.people.leave(found.id, services.clock.now())
    except InputError as error:
        return _page(request, services, wall, who, wrong=str(error))
    _note(services, who, f"{found.name} may come in no more")
    return RedirectResponse("/people", 303)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    """A password as it is kept; ``shown`` is set when it was made here, for one time."""

    kept: str
    shown: str | None = None
    one_time_until: datetime | None = None


def _password(typed: str, name: str, services: PageServices) -> _Made:
    if typed:
        acceptable(typed, name)
        return _Made(kept=password_hash(typed))
    made = one_time_password()
    until = services.clock.now() + ONE_TIME_LASTS
    return _Made(kept=password_hash(made), shown=made, one_time_until=until)


def _role(told: str) -> Role:
    if told not in {Role.KEEPER, Role.HELPER}:
        raise InputError(f"{told!r} is neither keeper nor helper.")
    return Role(told)


def _person(services: PageServices, person: int) -> Person:
    for one in services.people.people():
        if one.id == person and one.left_at is None:
            return one
    raise NotKnownError("There is nobody of that kind (any more).")


def _note(services: PageServices, who: Visitor, what: str) -> None:
    services.changes.note(Change(at=services.clock.now(), by=who.name, what=what))


def _done(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    who: Visitor,
    *,
    name: str,
    made: _Made,
) -> Response:
    if made.shown is None or made.one_time_until is None:
        return RedirectResponse("/people", 303)
    zone = services.settings.site.timezone
    until = moment(made.one_time_until, services.clock.now(), zone)
    given = Given(name=name, password=made.shown, until=until)
    return _page(request, services, wall, who, given=given)


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    who: Visitor,
    *,
    wrong: str | None = None,
    told: dict[str, str] | None = None,
    given: Given | None = None,
) -> Response:
    snapshot = wall.current()
    store = services.people
    zone = services.settings.site.timezone
    view = people_view(store.people(), store.last_seen(), who.name, services.clock.now(), zone)
    typed = told or {}
    response = page(
        request,
        "people.html",
        status=422 if wrong else 200,
        frame=frame("People", snapshot, services),
        view=view,
        name=typed.get("name", ""),
        role=typed.get("role", Role.HELPER.value),
        wrong=wrong,
        given=given,
        version=snapshot.version,
    )
    response.headers["cache-control"] = "no-store"
    return response
