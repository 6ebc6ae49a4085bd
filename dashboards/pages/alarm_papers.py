"""What is read in quiet: the journal of alarms, and why every rule is there."""

from datetime import date, datetime, timedelta

from fastapi import APIRouter, Request
from fastapi.responses import Response

from dashboards.dependencies import Services, Wall
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.journal_view import journal_view
from dashboards.views.local_words import clock_time, day_word, local_day, start_of_day
from dashboards.views.why_view import why_view
from service.errors import InputError

router = APIRouter()

_PAGE_OF = timedelta(days=7)
_DAY = timedelta(days=1)
_RAISED_BEFORE = timedelta(days=60)
"""What happens to an alarm may happen long after it was raised."""


@router.get("/alarms/journal")
def journal(
    request: Request, services: Services, wall: Wall, *, until: str | None = None
) -> Response:
    snapshot, settings = wall.current(), services.settings
    zone = settings.site.timezone
    today = local_day(snapshot.now, zone)
    last = _day_told(until, today) if until else today
    first = last - _PAGE_OF + _DAY
    since, end = start_of_day(first, zone), start_of_day(last + _DAY, zone)
    alarms = services.alarms.alarms(since - _RAISED_BEFORE, end)
    view = journal_view(
        services.alarms.journal(since, end),
        {one.id: one for one in alarms},
        settings,
        first,
        last,
        older=first - _DAY,
        newer=None if last == today else min(last + _PAGE_OF, today),
    )
    return page(
        request,
        "alarms_journal.html",
        frame=frame("The journal of alarms", snapshot, services),
        view=view,
        version=snapshot.version,
    )


@router.get("/alarms/why")
def why(request: Request, services: Services, wall: Wall) -> Response:
    snapshot = wall.current()
    return page(
        request,
        "alarms_why.html",
        frame=frame("Every rule, and why", snapshot, services),
        view=why_view(services.settings),
        printed=_printed(services, snapshot.now),
        version=snapshot.version,
    )


def _printed(services: PageServices, now: datetime) -> str:
    zone = services.settings.site.timezone
    day = local_day(now, zone)
    return f"{clock_time(now, zone)} on {day_word(day)} {day.year}"


def _day_told(until: str, today: date) -> date:
    """The last day of the page.

    Raises:
        InputError: it is no day of a calendar.
    """
    try:
        return min(date.fromisoformat(until), today)
    except ValueError as error:
        raise InputError(f"{until[:40]} is no day such as 2026-04-21.") from error
