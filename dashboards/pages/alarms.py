"""Alarms: what is wrong, what was. What is tapped is asked of watch, which alone does it."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.alarms_view import AlarmsKept, alarms_view
from dashboards.views.shelf_form import read_shelf
from dashboards.views.yardsticks_view import yardstick_lines
from dashboards.wall_watch import WallWatch
from service.alarms.alarm import Alarm
from service.alarms.suppression import SuppressionKind
from service.alarms.yardsticks import yardsticks
from service.errors import InputError, NotKnownError
from service.store.alarm_store import RequestKind

router = APIRouter()

Asked = Annotated[int | None, Query(ge=1, le=2**53)]
Form = Annotated[FormData, Depends(read_form)]

_PAST = timedelta(days=14)
_MEASURED_DAYS = 30
_LONGEST_KNOWN = timedelta(days=90)
"""An alarm that began that long ago and is active still is to be seen as stale."""
_DONE = "done"


@router.get("/alarms")
def alarms(request: Request, services: Services, wall: Wall, asked: Asked = None) -> Response:
    return _page(request, services, wall, outcome=_outcome(services, asked))


@router.post("/alarms/{alarm_id}/acknowledge")
def acknowledge(alarm_id: str, services: Services, who: Who) -> Response:
    return _ask_of(alarm_id, RequestKind.ACKNOWLEDGE, services, who.name)


@router.post("/alarms/{alarm_id}/reset")
def reset(alarm_id: str, services: Services, who: Who) -> Response:
    return _ask_of(alarm_id, RequestKind.RESET, services, who.name)


@router.post("/alarms/shelve")
def shelve(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    alarm = _with_rule(told.get("rule", ""), services)
    try:
        wish = read_shelf(told, alarm.priority)
    except InputError as error:
        return _page(request, services, wall, wrong=(str(error),))
    if _is_asked(services, RequestKind.SHELVE, alarm.rule):
        return RedirectResponse("/alarms#shelved", 303)
    asked = services.requests.ask(
        RequestKind.SHELVE,
        alarm.rule,
        by=who.name,
        at=services.clock.now(),
        body=wish.to_text(),
    )
    return RedirectResponse(f"/alarms?asked={asked}#shelved", 303)


@router.post("/alarms/unshelve")
def unshelve(services: Services, who: Who, form: Form) -> Response:
    rule = text_of(form).get("rule", "")
    wish = next((one for one in services.alarms.suppressions() if one.rule == rule), None)
    if wish is None:
        raise NotKnownError("That is neither shelved nor out of service any more.")
    shelved = wish.kind is SuppressionKind.SHELVED
    kind = RequestKind.UNSHELVE if shelved else RequestKind.INTO_SERVICE
    if _is_asked(services, kind, rule):
        return RedirectResponse("/alarms#shelved", 303)
    asked = services.requests.ask(kind, rule, by=who.name, at=services.clock.now())
    return RedirectResponse(f"/alarms?asked={asked}#shelved", 303)


def _ask_of(alarm_id: str, kind: RequestKind, services: PageServices, by: str | None) -> Response:
    if all(alarm.id != alarm_id for alarm in services.alarms.open_alarms()):
        raise NotKnownError("That alarm is not open any more.")
    if not _is_asked(services, kind, alarm_id):
        services.requests.ask(kind, alarm_id, by=by, at=services.clock.now())
    return RedirectResponse("/alarms", 303)


def _is_asked(services: PageServices, kind: RequestKind, subject: str) -> bool:
    pending = services.requests.pending()
    return any((one.kind, one.subject) == (kind, subject) for one in pending)


def _with_rule(rule: str, services: PageServices) -> Alarm:
    for alarm in services.alarms.open_alarms():
        if alarm.rule == rule and alarm.state.active:
            return alarm
    raise NotKnownError("That alarm is over already; there is nothing to shelve.")


def _outcome(services: PageServices, asked: int | None) -> str:
    """What came of the last tap, in words; empty where all is done, as the page then shows."""
    if asked is None:
        return ""
    try:
        told = services.requests.outcome(asked)
    except NotKnownError:
        return ""
    if told is None:
        return "Asked. The watch does it within two seconds or so."
    return "" if told == _DONE else told


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    wrong: Sequence[str] = (),
    outcome: str = "",
) -> Response:
    snapshot, settings = wall.current(), services.settings
    now = snapshot.now
    known = services.alarms.alarms(now - _LONGEST_KNOWN, None)
    kept = AlarmsKept(
        open=services.alarms.open_alarms(),
        past=[one for one in known if one.raised_at >= now - _PAST],
        suppressions=services.alarms.suppressions(),
        pending=services.requests.pending(),
        newest=services.readings.latest(),
    )
    lines = services.alarms.journal(now - timedelta(days=_MEASURED_DAYS), None)
    measured = yardsticks(known, lines, now, zone=settings.site.timezone, days=_MEASURED_DAYS)
    return page(
        request,
        "alarms.html",
        status=422 if wrong else 200,
        frame=frame("Alarms", snapshot, services),
        view=alarms_view(kept, settings, now, night=snapshot.view.night),
        yardsticks=yardstick_lines(measured, settings, now),
        wrong=wrong,
        outcome=outcome,
        version=snapshot.version,
    )
