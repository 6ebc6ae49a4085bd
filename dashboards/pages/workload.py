"""The time it takes: minutes a day for the weeks to come, and what if."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from dashboards.dependencies import Services, Wall
from dashboards.framing import frame
from dashboards.templating import page
from dashboards.views.local_words import clock_time, day_word, local_day
from dashboards.views.what_if_form import what_if_asked
from dashboards.views.workload_view import workload_view
from service.answers.work_ahead import runs_now, work_ahead
from service.nests.workload.ground import WhatIf

router = APIRouter()


@router.get("/today/workload")
def workload(request: Request, services: Services, wall: Wall) -> Response:
    snapshot = wall.current()
    now, zone = services.clock.now(), services.settings.site.timezone
    runs = runs_now(services, now)
    asked = what_if_asked(dict(request.query_params), runs, local_day(now, zone), zone)
    what_ifs = (WhatIf(),) if asked.what_if is None else (WhatIf(), asked.what_if)
    found = work_ahead(services, services.settings, now, what_ifs)
    view = workload_view(found[0], found[1] if len(found) > 1 else None)
    return page(
        request,
        "workload.html",
        frame=frame(view.title, snapshot, services),
        view=view,
        form=asked.form,
        printed=f"{day_word(local_day(now, zone))}, {clock_time(now, zone)}",
        version=snapshot.version,
    )
