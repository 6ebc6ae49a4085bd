"""What runs low: one tap to add, one to strike."""

import re
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import RowId, Services, Wall, Who, read_form
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.running_low_view import running_low_view
from dashboards.wall_watch import WallWatch
from service.errors import InputError

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
LIST = "/today/low"
_NUMBER = re.compile("[0-9]{1,15}", re.ASCII)


@router.get("/today/low")
def running_low(request: Request, services: Services, wall: Wall, struck: str = "") -> Response:
    return _page(request, services, wall, struck=struck)


@router.post("/today/low")
def add(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    what = str(form.get("what", ""))
    try:
        services.running_low.add(what, at=services.clock.now(), by=who.name)
    except InputError as error:
        return _page(request, services, wall, wrong=(str(error),), typed=what)
    return RedirectResponse(LIST, 303)


@router.post("/today/low/{low_id:int}/strike")
def strike(low_id: RowId, services: Services, who: Who) -> Response:
    services.running_low.strike(low_id, at=services.clock.now(), by=who.name)
    return RedirectResponse(f"{LIST}?struck={low_id}", 303)


@router.post("/today/low/{low_id:int}/back")
def put_back(low_id: RowId, services: Services) -> Response:
    services.running_low.put_back(low_id)
    return RedirectResponse(LIST, 303)


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    struck: str = "",
    wrong: tuple[str, ...] = (),
    typed: str = "",
) -> Response:
    view = running_low_view(
        services.running_low.open(),
        services.running_low.earlier(),
        services.clock.now(),
        services.settings.site.timezone,
        struck=int(struck) if _NUMBER.fullmatch(struck) else None,
    )
    return setup_page(
        request,
        services,
        wall,
        template="running_low.html",
        title="What runs low",
        view=view,
        wrong=wrong,
        typed=typed,
    )
