"""Tablets on the wall: a token for each, shown once, taken back when the tablet is lost."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import drawn, page
from dashboards.views.walls_view import NewWall, new_wall, wall_rows
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError
from service.machine.own_addresses import own_addresses, own_names
from service.people.digest import digest_of, new_secret
from service.people.names import person_name
from service.settings.written import is_loopback
from service.store.kept_settings import Change

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]


@router.get("/people/walls")
def walls(request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall)


@router.post("/people/walls")
def add(request: Request, services: Services, wall: Wall, *, who: Who, form: Form) -> Response:
    now = services.clock.now()
    try:
        name = person_name(str(form.get("name", "")))
    except InputError as error:
        return _page(request, services, wall, wrong=str(error))
    token = new_secret()
    services.people.add_wall_token(name, digest_of(token), by=who.name, at=now)
    what = f"The tablet {name} may show the wall"
    services.changes.note(Change(at=now, by=who.name, what=what))
    server = request.scope.get("server")
    made = new_wall(
        name,
        token,
        services.settings,
        addresses=own_addresses() or ("127.0.0.1",),
        names=own_names(),
        port=(server[1] if server else None) or services.settings.port,
    )
    return _page(request, services, wall, made=made)


@router.post("/people/walls/{token}/revoke")
def revoke(token: int, services: Services, who: Who) -> Response:
    now = services.clock.now()
    found = next((one for one in services.people.wall_tokens() if one.id == token), None)
    if found is None:
        raise NotKnownError("There is no such tablet.")
    if found.revoked_at is None:
        services.people.revoke_wall_token(token, now)
        what = f"The tablet {found.name} may show the wall no more"
        services.changes.note(Change(at=now, by=who.name, what=what))
    return RedirectResponse("/people/walls", 303)


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    made: NewWall | None = None,
    wrong: str | None = None,
) -> Response:
    snapshot = wall.current()
    zone = services.settings.site.timezone
    response = page(
        request,
        "walls.html",
        status=422 if wrong else 200,
        frame=frame("Tablets on the wall", snapshot, services),
        rows=wall_rows(services.people.wall_tokens(), services.clock.now(), zone),
        made=made,
        code=drawn(made.code) if made else None,
        reached=not is_loopback(services.settings.bind),
        wrong=wrong,
        version=snapshot.version,
    )
    response.headers["cache-control"] = "no-store"
    return response
