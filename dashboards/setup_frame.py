"""A page of set-up: its question with what was typed, inside the frame of all pages."""

from collections.abc import Sequence

from fastapi import Request
from fastapi.responses import Response

from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.wall_watch import WallWatch


def setup_page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    template: str,
    title: str,
    view: object,
    wrong: Sequence[str] = (),
    **more: object,
) -> Response:
    """Faults are told on the page itself; what was typed stays in its fields."""
    snapshot = wall.current()
    return page(
        request,
        template,
        status=422 if wrong else 200,
        frame=frame(title, snapshot, services),
        version=snapshot.version,
        view=view,
        wrong=wrong,
        **more,
    )
