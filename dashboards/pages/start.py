"""The start page: how it is, in a sentence, and where to go; on a bare machine, the first day."""

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from dashboards.dependencies import Services, Wall, Who
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.pages.first import step_to_do
from dashboards.templating import page
from dashboards.views.start_links import start_links
from dashboards.wall_watch import WallWatch
from service.people.role import Role, Visitor

router = APIRouter()


@router.get("/")
def home(request: Request, services: Services, wall: Wall, who: Who) -> Response:
    bare = not services.settings.sensors and not services.people.has_keeper()
    if bare and who.role is Role.KEEPER:
        return RedirectResponse("/first", 303)
    return _start(request, services, wall, who)


@router.get("/start")
def start(request: Request, services: Services, wall: Wall, who: Who) -> Response:
    """The same without the way to the first day: nobody is held there."""
    return _start(request, services, wall, who)


def _start(request: Request, services: PageServices, wall: WallWatch, who: Visitor) -> Response:
    snapshot = wall.current()
    return page(
        request,
        "start.html",
        frame=frame(services.settings.shed_name, snapshot, services),
        view=snapshot.view,
        version=snapshot.version,
        links=start_links(who.role, has_keeper=services.people.has_keeper()),
        unfinished=_unfinished(services) if who.role is Role.KEEPER else None,
    )


def _unfinished(services: PageServices) -> str | None:
    """What the first day still waits for, where no sensor has a place yet."""
    if services.settings.sensors:
        return None
    step = step_to_do(services)
    return None if step is None else f"next: {step.words}"
