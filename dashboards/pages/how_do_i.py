"""Help: how do I…? Short, each with the exact command or page."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from dashboards.dependencies import Services, Wall
from dashboards.framing import frame
from dashboards.templating import page
from dashboards.views.help_commands import help_commands

router = APIRouter()


@router.get("/help")
def how_do_i(request: Request, services: Services, wall: Wall) -> Response:
    snapshot = wall.current()
    return page(
        request,
        "help.html",
        frame=frame("Help", snapshot, services),
        version=snapshot.version,
        commands=help_commands(services.data),
    )
