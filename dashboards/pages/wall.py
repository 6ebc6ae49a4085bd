"""The wall: nothing to tap, read from 3 m."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from dashboards.dependencies import Services, Wall
from dashboards.framing import frame
from dashboards.marks.cover import cover_picture
from dashboards.templating import drawn, page

router = APIRouter()


@router.get("/wall")
def wall(request: Request, services: Services, wall: Wall) -> Response:
    snapshot = wall.current()
    return page(
        request,
        "wall.html",
        frame=frame(services.settings.shed_name, snapshot, services),
        picture=drawn(snapshot.picture),
        version=snapshot.version,
        cover=drawn(cover_picture(snapshot.clock)),
    )


@router.get("/wall/picture")
def picture(wall: Wall) -> Response:
    snapshot = wall.current()
    return Response(
        snapshot.picture,
        media_type="image/svg+xml",
        headers={
            "x-wall-version": snapshot.version,
            "x-wall-night": "yes" if snapshot.view.night else "no",
        },
    )
