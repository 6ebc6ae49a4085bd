"""Signing in and out, and a password of one's own."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.cookies import KNOWN_COOKIE
from dashboards.dependencies import Services, Wall, read_form
from dashboards.framing import frame
from dashboards.giving_sessions import sign_in, sign_out
from dashboards.own_path import own_path
from dashboards.page_services import PageServices
from dashboards.signing_in import SignIn, Wait
from dashboards.templating import page
from dashboards.waiting_words import wait_words
from dashboards.wall_watch import WallWatch
from service.errors import InputError, StoreUnavailableError
from service.people.passwords import acceptable, password_hash
from service.store.kept_settings import Change
from service.store.people_store import Person

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]

WRONG = "Name or password is not right."
RUN_OUT = "This one-time password has run out. Ask the keeper for another one."
TOO_OFTEN = (
    "Too many wrong passwords were tried; none is looked at just now. Try again {when}. "
    "A phone that has signed in before, and the machine itself, are not held up by others."
)


@router.get("/login")
def ask(request: Request, wall: Wall, next: str = "/") -> Response:  # noqa: A002 - as it is called in addresses
    return _ask(request, wall, to=own_path(next))


@router.post("/login")
def answer(request: Request, services: Services, wall: Wall, form: Form) -> Response:
    name, password = str(form.get("name", "")), str(form.get("password", ""))
    to = own_path(str(form.get("next", "")))
    found = _sign_in(request).try_password(
        services.people,
        name,
        password,
        address=request.client.host if request.client else "",
        proof=request.cookies.get(KNOWN_COOKIE, ""),
    )
    if isinstance(found, Wait):
        words = TOO_OFTEN.format(when=wait_words(found.seconds))
        response = _ask(request, wall, to=to, name=name, wrong=words, status=429)
        response.headers["retry-after"] = str(int(found.seconds) + 1)
        return response
    if found is None:
        return _ask(request, wall, to=to, name=name, wrong=WRONG, status=401)
    if found.one_time_until is not None and services.clock.now() >= found.one_time_until:
        return _ask(request, wall, to=to, name=name, wrong=RUN_OUT, status=401)
    response = RedirectResponse("/password" if found.one_time_until else to, 303)
    sign_in(request, response, services, found)
    return response


@router.post("/logout")
def leave(request: Request, services: Services) -> Response:
    response = RedirectResponse("/login", 303)
    sign_out(request, response, services)
    return response


@router.get("/password")
def own_password(request: Request, services: Services, wall: Wall) -> Response:
    return _own(request, services, wall)


@router.post("/password")
def new_own_password(request: Request, services: Services, wall: Wall, form: Form) -> Response:
    person: Person = request.state.arrived.person
    found = _sign_in(request).try_again(services.people, person, str(form.get("old_password", "")))
    if isinstance(found, Wait):
        words = f"Too many wrong passwords. Try again {wait_words(found.seconds)}."
        return _own(request, services, wall, wrong=words, status=429)
    new = str(form.get("new_password", ""))
    wrong = None
    if found is None:
        wrong = "The password that you have now is not right. Nothing was changed."
    elif new != str(form.get("new_password_again", "")):
        wrong = "The new password was typed in two ways. Nothing was changed."
    elif new == str(form.get("old_password", "")):
        wrong = "The new password is the old one. Nothing was changed."
    if wrong is not None:
        return _own(request, services, wall, wrong=wrong, status=422)
    try:
        acceptable(new, person.name)
    except InputError as error:
        return _own(request, services, wall, wrong=str(error), status=422)
    services.people.set_password(person.id, password_hash(new))
    services.changes.note(
        Change(
            at=services.clock.now(), by=person.name, what=f"{person.name}: a password of their own"
        )
    )
    renewed = next(one for one in services.people.people() if one.id == person.id)
    response = RedirectResponse("/start", 303)
    sign_in(request, response, services, renewed)
    return response


def _sign_in(request: Request) -> SignIn:
    found: SignIn = request.app.state.sign_in
    return found


def _ask(
    request: Request,
    wall: WallWatch,
    *,
    to: str,
    name: str = "",
    wrong: str | None = None,
    status: int = 200,
) -> Response:
    try:
        night = wall.current().view.night
    except StoreUnavailableError:
        night = False
    return page(
        request,
        "login.html",
        status=status,
        title="Sign in",
        night=night,
        to=to,
        name=name,
        wrong=wrong,
    )


def _own(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    wrong: str | None = None,
    status: int = 200,
) -> Response:
    snapshot = wall.current()
    person: Person = request.state.arrived.person
    return page(
        request,
        "password.html",
        status=status,
        frame=frame("Your password", snapshot, services),
        one_time=person.one_time_until is not None,
        name=person.name,
        wrong=wrong,
        version=snapshot.version,
    )
