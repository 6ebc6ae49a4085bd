"""Alarms: what is wrong, what was; to acknowledge is asked of watch, which alone does it."""

from datetime import timedelta

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from dashboards.dependencies import Services, Wall, Who
from dashboards.framing import frame
from dashboards.templating import page
from dashboards.views.alarms_view import alarms_view
from service.errors import NotKnownError
from service.store.alarm_store import RequestKind

router = APIRouter()

_PAST = timedelta(days=14)


@router.get("/alarms")
def alarms(request: Request, services: Services, wall: Wall) -> Response:
    snapshot = wall.current()
    view = alarms_view(
        services.alarms.open_alarms(),
        services.alarms.alarms(snapshot.now - _PAST, None),
        {one.subject for one in services.requests.pending()},
        services.settings,
        snapshot.now,
        night=snapshot.view.night,
    )
    return page(
        request,
        "alarms.html",
        frame=frame("Alarms", snapshot, services),
        view=view,
        version=snapshot.version,
    )


@router.post("/alarms/{alarm_id}/acknowledge")
def acknowledge(alarm_id: str, services: Services, who: Who) -> Response:
    if all(alarm.id != alarm_id for alarm in services.alarms.open_alarms()):
        raise NotKnownError("That alarm is not open any more.")
    pending = {one.subject for one in services.requests.pending()}
    if alarm_id not in pending:
        now = services.clock.now()
        services.requests.ask(RequestKind.ACKNOWLEDGE, alarm_id, by=who.name, at=now)
    return RedirectResponse("/alarms", 303)
