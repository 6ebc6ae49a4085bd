"""The first step of the first day: whoever reads the code off the machine becomes the keeper.

There is no such page once there is a keeper; the doorway answers 404 then, for ever.
"""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, read_form
from dashboards.framing import frame
from dashboards.giving_sessions import sign_in
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.first_steps import Step, after, step_frame
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError
from service.people.digest import digest_of
from service.people.first_code import MOST_WRONG, as_kept
from service.people.names import person_name
from service.people.passwords import acceptable, password_hash
from service.store.kept_settings import Change

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]

NEW_START = (
    "This code opens nothing any more. Start the service again: it prints a new one on its console."
)


@router.get("/first/keeper")
def ask(request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall, name="")


@router.post("/first/keeper")
def make(request: Request, services: Services, wall: Wall, form: Form) -> Response:
    told = str(form.get("name", ""))
    password, again = str(form.get("password", "")), str(form.get("password_again", ""))
    digest = digest_of(as_kept(str(form.get("code", ""))))
    try:
        _holds(services, digest)
        name = person_name(told)
        _acceptable(password, again, name)
        now = services.clock.now()
        person = services.people.add_first_keeper(name, password_hash(password), digest, now)
    except InputError as error:
        return _page(request, services, wall, name=told, wrong=(str(error),), status=422)
    services.changes.note(Change(at=now, by=name, what=f"{name} is the first keeper"))
    response = RedirectResponse(after(Step.KEEPER), 303)
    sign_in(request, response, services, person)
    return response


def _acceptable(password: str, again: str, name: str) -> None:
    acceptable(password, name)
    if password != again:
        raise InputError("The password was typed in two ways.")


def _holds(services: PageServices, digest: str) -> None:
    """Count a wrong code, and say how many are left."""
    code = services.people.first_code()
    if services.people.has_keeper():
        raise NotKnownError("There is no such page (any more).")
    if code is None or code.used_at is not None or code.tries >= MOST_WRONG:
        raise InputError(NEW_START)
    if code.digest != digest:
        left = MOST_WRONG - services.people.wrong_first_code()
        if left <= 0:
            raise InputError(f"The code is not right. {NEW_START}")
        tries = "one try is" if left == 1 else f"{left} tries are"
        raise InputError(f"The code is not right; {tries} left.")


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    name: str,
    wrong: tuple[str, ...] = (),
    status: int = 200,
) -> Response:
    return page(
        request,
        "first_keeper.html",
        status=status,
        frame=frame("The keeper", wall.current(), services),
        step=step_frame(Step.KEEPER),
        name=name,
        wrong=wrong,
    )
