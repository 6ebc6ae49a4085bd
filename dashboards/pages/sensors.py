"""Sensors: who is talking, how well, who is new."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from dashboards.dependencies import Services, Wall
from dashboards.framing import frame
from dashboards.templating import page
from dashboards.views.sensors_view import sensors_view

router = APIRouter()


@router.get("/sensors")
def sensors(request: Request, services: Services, wall: Wall) -> Response:
    snapshot = wall.current()
    store = services.readings
    heartbeat = services.heartbeat()
    view = sensors_view(
        settings=services.settings,
        state=snapshot.state,
        newest=store.latest(),
        heard=store.deadlines(),
        strangers=store.strangers(),
        letters=store.dead_letters(),
        dropped=store.dead_letters_dropped(),
        gaps=store.gaps(),
        broker=heartbeat.broker if heartbeat else "unknown: watch shows no sign of life",
    )
    return page(
        request,
        "sensors.html",
        frame=frame("Sensors", snapshot, services),
        view=view,
        version=snapshot.version,
    )
