"""A list to print for somebody who minds the shed."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from dashboards.dependencies import Services, Wall
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.helper_list import HelperShed, days_from, helper_list
from dashboards.views.local_words import clock_time, day_word, local_day
from service.answers.work_ahead import work_ahead
from service.nests.due_dates import due_dates
from service.nests.duty_days import ShedDays, slots_on

router = APIRouter()


@router.get("/today/helper")
def helper(
    request: Request, services: Services, wall: Wall, *, days: str | None = None
) -> Response:
    snapshot = wall.current()
    number = days_from(days)
    view = helper_list(_shed(services, number))
    now, zone = services.clock.now(), services.settings.site.timezone
    return page(
        request,
        "helper_list.html",
        frame=frame(view.title, snapshot, services),
        view=view,
        days=number,
        printed=f"{day_word(local_day(now, zone))}, {clock_time(now, zone)}",
        version=snapshot.version,
    )


def _shed(services: PageServices, days: int) -> HelperShed:
    now, zone = services.clock.now(), services.settings.site.timezone
    book, species = services.nest_book, services.nest_book.species()
    duties, times = tuple(services.duties.duties()), services.duties.visit_times()
    nests, places = tuple(book.nests()), tuple(book.places())
    shed = ShedDays(nests=nests, places=places, now=now, zone=zone, times=times, species=species)
    ahead = work_ahead(services, services.settings, now)[0].days[:days]
    return HelperShed(
        ahead=ahead,
        slots=[slot for one in ahead for slot in slots_on(one.day, duties, shed)],
        duties=duties,
        times=times,
        places=places,
        nests=[(nest, due_dates(nest, species, now, zone)) for nest in nests],
        zone=zone,
        low=[one.what for one in services.running_low.open()],
    )
