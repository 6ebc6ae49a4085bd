"""Set-up: all that is set."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from dashboards.dependencies import Services, Wall
from dashboards.framing import frame
from dashboards.templating import page
from dashboards.views.setup_view import setup_view
from service.people.role import Role

router = APIRouter()


@router.get("/setup")
def setup(request: Request, services: Services, wall: Wall) -> Response:
    snapshot = wall.current()
    heartbeat = services.heartbeat()
    standing = heartbeat.broker if heartbeat else "unknown: watch shows no sign of life"
    return page(
        request,
        "setup.html",
        frame=frame("Set-up", snapshot, services),
        view=setup_view(services.settings, services.nest_book.species(), standing),
        may_change=request.state.visitor.role is Role.KEEPER,
        version=snapshot.version,
    )
