"""Changes: who changed what, and when."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from dashboards.dependencies import Services, Wall
from dashboards.framing import frame
from dashboards.templating import page
from dashboards.views.changes_view import changes_view

router = APIRouter()

SHOWN = 200


@router.get("/changes")
def changes(request: Request, services: Services, wall: Wall) -> Response:
    snapshot = wall.current()
    zone = services.settings.site.timezone
    found = services.changes.changes(SHOWN)
    return page(
        request,
        "changes.html",
        frame=frame("Changes", snapshot, services),
        rows=changes_view(found, services.clock.now(), zone),
        most=len(found) >= SHOWN,
        version=snapshot.version,
    )
