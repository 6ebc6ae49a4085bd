"""Sensors: who is talking, how well, who is new."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import change
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.page_services import PageServices
from dashboards.sensor_facts import SensorFacts, twins_told
from dashboards.setup_frame import setup_page
from dashboards.views.sensors_view import sensors_view
from dashboards.wall_watch import WallWatch
from service.settings import edits
from service.store.alarm_store import RequestKind

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]


@router.get("/sensors")
def sensors(request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall)


@router.post("/sensors/listen")
def listen_round(services: Services, who: Who) -> Response:
    pending = services.requests.pending()
    if not any(one.kind is RequestKind.LISTEN_ROUND for one in pending):
        services.requests.ask(RequestKind.LISTEN_ROUND, "", by=who.name, at=services.clock.now())
    return RedirectResponse("/sensors#round", 303)


@router.post("/sensors/ignore")
def ignore(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    device = text_of(form).get("device", "")
    wrong = change(services, who, lambda: edits.ignore(device))
    return _page(request, services, wall, wrong) if wrong else RedirectResponse("/sensors", 303)


@router.post("/sensors/heed")
def heed(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    device = text_of(form).get("device", "")
    wrong = change(services, who, lambda: edits.heed(device))
    return _page(request, services, wall, wrong) if wrong else RedirectResponse("/sensors", 303)


def _page(
    request: Request, services: PageServices, wall: WallWatch, wrong: tuple[str, ...] = ()
) -> Response:
    snapshot = wall.current()
    store = services.readings
    heartbeat = services.heartbeat()
    facts: SensorFacts = request.app.state.sensor_facts
    newest = store.latest()
    view = sensors_view(
        settings=services.settings,
        state=snapshot.state,
        newest=newest,
        heard=store.deadlines(),
        strangers=store.strangers(),
        overheard=store.overheard(),
        letters=store.dead_letters_kept(),
        dropped=store.dead_letters_dropped(),
        gaps=store.gaps(),
        twins=twins_told(services.alarms.open_alarms()),
        facts=facts.told(snapshot.now),
        broker=heartbeat.broker if heartbeat else "unknown: watch shows no sign of life",
        listening_s=heartbeat.round_left_s() if heartbeat else 0.0,
    )
    asked = any(one.kind is RequestKind.LISTEN_ROUND for one in services.requests.pending())
    return setup_page(
        request,
        services,
        wall,
        template="sensors.html",
        title="Sensors",
        view=view,
        wrong=wrong,
        asked=asked and not view.listening,
    )
