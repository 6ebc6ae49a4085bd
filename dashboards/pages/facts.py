"""The same facts as JSON, for scripts; the very functions that answer the command line."""

from datetime import datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response

from dashboards.dependencies import MaybeWho, Services
from dashboards.templating import page
from service.answers.alarms import AlarmAnswer
from service.answers.alarms import alarms as told_alarms
from service.answers.dead_letters import DeadLetterAnswer
from service.answers.dead_letters import dead_letters as told_letters
from service.answers.duties import DutyAnswer, duties_now
from service.answers.duty_list import duty_list
from service.answers.health import HealthAnswer
from service.answers.health import health as told_health
from service.answers.latest import LatestAnswer
from service.answers.latest import latest as told_latest
from service.answers.light import light as told_light
from service.answers.nests import nests as told_nests
from service.answers.nights import nights as told_nights
from service.answers.outlook import OutlookAnswer
from service.answers.outlook import outlook as told_outlook
from service.answers.readings import readings as told_readings
from service.answers.work_ahead import work_ahead
from service.answers.workload import WorkloadAnswer
from service.answers.workload import workload as told_workload
from service.errors import InputError
from service.people.role import Role

router = APIRouter()

Since = Annotated[datetime | None, Query(alias="from")]
Until = Annotated[datetime | None, Query(alias="to")]
_NIGHTS_BACK = timedelta(days=30)
_LONGEST_READINGS = timedelta(days=31)
_LONGEST_LIGHT = timedelta(days=366)
_FIRST_YEAR, _LAST_YEAR = 1971, 2199


@router.get("/health")
def health(services: Services, visitor: MaybeWho) -> Response:
    told = told_health(services.heartbeat(), services.settings, pages=True, data=services.data)
    status = 200 if told["ok"] else 503
    if visitor is None or visitor.role is Role.WALL:
        return JSONResponse({"ok": told["ok"], "parts": told["parts"]}, status)
    return JSONResponse(told, status)


@router.get("/api/health")
def api_health(services: Services) -> HealthAnswer:
    return told_health(services.heartbeat(), services.settings, pages=True, data=services.data)


@router.get("/api/latest")
def latest(services: Services) -> list[LatestAnswer]:
    return told_latest(services.readings.latest(), services.settings.sensors, services.clock.now())


@router.get("/api/readings")
def readings(services: Services, since: Since = None, until: Until = None) -> Response:
    now = services.clock.now()
    end = _aware(until) or now
    start = _aware(since) or end - timedelta(days=1)
    if end - start > _LONGEST_READINGS:
        raise InputError("readings: at most 31 days at once; the command line has no bound")
    return JSONResponse(told_readings(services.readings, start, end))


@router.get("/api/nights")
def nights(services: Services, since: Since = None, until: Until = None) -> Response:
    now = services.clock.now()
    end = _aware(until) or now
    start = _aware(since) or end - _NIGHTS_BACK
    return JSONResponse(told_nights(services.readings, services.settings, start, end, now))


@router.get("/api/light")
def light(services: Services, since: Since = None, until: Until = None) -> Response:
    now = services.clock.now()
    end = _aware(until) or now
    start = _aware(since) or end - _NIGHTS_BACK
    if end - start > _LONGEST_LIGHT:
        raise InputError("light: at most 366 days at once; the command line has no bound")
    return JSONResponse(told_light(services.readings, services.settings, start, end, now))


@router.get("/api/outlook")
def outlook(services: Services) -> OutlookAnswer:
    return told_outlook(services.outlook, services.settings, services.clock.now())


@router.get("/api/alarms")
def alarms(services: Services, since: Since = None, until: Until = None) -> list[AlarmAnswer]:
    return told_alarms(services.alarms.alarms(_aware(since), _aware(until)))


@router.get("/api/nests")
def nests(services: Services) -> Response:
    zone = services.settings.site.timezone
    return JSONResponse(told_nests(services.nest_book, services.clock.now(), zone))


@router.get("/api/duties")
def duties(services: Services) -> list[DutyAnswer]:
    now = services.clock.now()
    found = duty_list(
        services.nest_book, services.duties, services.readings, services.settings, now
    )
    return duties_now(found)


@router.get("/api/workload")
def workload(services: Services) -> list[WorkloadAnswer]:
    return told_workload(work_ahead(services, services.settings, services.clock.now())[0])


@router.get("/api/dead-letters")
def dead_letters(services: Services) -> list[DeadLetterAnswer]:
    return told_letters(services.readings.dead_letters())


@router.get("/api")
def api(request: Request) -> HTMLResponse:
    paths = [
        (path, next(iter(methods)).upper())
        for path, methods in sorted(request.app.openapi()["paths"].items())
        if path.startswith("/api") or path == "/health"
    ]
    return page(request, "api.html", title="For scripts", paths=paths)


def _aware(at: datetime | None) -> datetime | None:
    """A time of a question. One without an offset could mean two things: it is refused, and so
    is one so far off that no time before or after it can be reckoned.
    """
    if at is None:
        return None
    if at.tzinfo is None:
        raise InputError(f"{at.isoformat()} has no offset; write it as RFC 3339, with Z")
    if not _FIRST_YEAR <= at.year <= _LAST_YEAR:
        raise InputError(
            f"{at.isoformat()} can't be asked for; the years {_FIRST_YEAR} to {_LAST_YEAR} can"
        )
    return at
