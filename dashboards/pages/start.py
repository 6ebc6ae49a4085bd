"""The first page: how it is, in a sentence, and where to go."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from dashboards.dependencies import Services, Wall
from dashboards.framing import frame
from dashboards.templating import page

router = APIRouter()


@router.get("/")
def start(request: Request, services: Services, wall: Wall) -> Response:
    snapshot = wall.current()
    return page(
        request,
        "start.html",
        frame=frame(services.settings.shed_name, snapshot, services),
        view=snapshot.view,
        version=snapshot.version,
    )
