"""What is due, for a calendar on a phone: secret addresses, each shown once and taken back."""

from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.icalendar_feed import ics_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.templating import drawn
from dashboards.views.calendar_view import (
    NewCalendar,
    calendar_rows,
    due_events,
    new_calendar,
    uid_of,
)
from dashboards.views.walls_view import own_roots
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError
from service.machine.own_addresses import own_addresses, own_names
from service.people.digest import digest_of, new_secret
from service.people.names import person_name
from service.people.session_times import WALL_NOTED_EVERY
from service.settings.written import is_loopback
from service.store.calendar_store import CalendarDays
from service.store.kept_settings import Change

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]

_NEVER = timedelta.max


@router.get("/calendar/{token}.ics", include_in_schema=False)
def feed(token: str, services: Services) -> Response:
    now = services.clock.now()
    calendars = services.calendars
    found = calendars.found(digest_of(token))
    if found is None:
        raise NotKnownError("There is no such calendar, or its address was taken back.")
    zone = services.settings.site.timezone
    nests = services.nest_book.nests()
    events = [
        (uid_of(found, event.key), event)
        for event in due_events(nests, services.nest_book.species(), now, zone)
    ]
    days = {
        uid: CalendarDays(
            first=event.first, last=event.last, told=f"{event.title}\n{event.why}\n{event.unsure}"
        )
        for uid, event in events
    }
    revisions = calendars.revised(found.id, days, now)
    if (now - found.seen_at if found.seen_at else _NEVER) >= WALL_NOTED_EVERY:
        calendars.seen(found.id, now)
    return Response(
        ics_of(events, revisions, name=f"{services.settings.shed_name}: nests"),
        media_type="text/calendar; charset=utf-8",
        headers={"cache-control": "private, no-cache"},
    )


@router.get("/setup/calendars")
def calendars(request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall)


@router.post("/setup/calendars")
def add(request: Request, services: Services, wall: Wall, *, who: Who, form: Form) -> Response:
    now = services.clock.now()
    try:
        name = person_name(str(form.get("name", "")))
    except InputError as error:
        return _page(request, services, wall, wrong=(str(error),))
    token = new_secret()
    services.calendars.add(name, digest_of(token), by=who.name, at=now)
    what = f"The calendar {name} may read what is due"
    services.changes.note(Change(at=now, by=who.name, what=what))
    server = request.scope.get("server")
    roots = own_roots(
        services.settings,
        addresses=own_addresses() or ("127.0.0.1",),
        names=own_names(),
        port=(server[1] if server else None) or services.settings.port,
    )
    return _page(request, services, wall, made=new_calendar(name, token, roots))


@router.post("/setup/calendars/{calendar}/revoke")
def revoke(calendar: int, services: Services, who: Who) -> Response:
    now = services.clock.now()
    found = next((one for one in services.calendars.all() if one.id == calendar), None)
    if found is None:
        raise NotKnownError("There is no such calendar.")
    if found.revoked_at is None:
        services.calendars.revoke(calendar, now)
        what = f"The calendar {found.name} may read what is due no more"
        services.changes.note(Change(at=now, by=who.name, what=what))
    return RedirectResponse("/setup/calendars", 303)


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    made: NewCalendar | None = None,
    wrong: tuple[str, ...] = (),
) -> Response:
    zone = services.settings.site.timezone
    response = setup_page(
        request,
        services,
        wall,
        template="setup_calendars.html",
        title="Calendars",
        view=calendar_rows(services.calendars.all(), services.clock.now(), zone),
        wrong=wrong,
        made=made,
        code=drawn(made.code) if made else None,
        reached=not is_loopback(services.settings.bind),
    )
    response.headers["cache-control"] = "no-store"
    return response
