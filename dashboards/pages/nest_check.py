"""The form that is filled in at the nest, on a phone, and works without a script."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Annotated
from uuid import uuid4

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.check_form import check_form
from dashboards.views.check_sent import check_from_form
from dashboards.views.nest_view import nest_view
from dashboards.wall_watch import WallWatch
from service.errors import InputError
from service.nest_check_path import Recorded
from service.nests.book_says import BookSays
from service.nests.nest import Nest
from service.nests.question import Question

router = APIRouter()


@router.get("/nests/{box}/check")
def form(box: str, request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall, services.nest_book.nest(box), form_id=str(uuid4()))


@router.post("/nests/{box}/check")
def submit(
    box: str,
    request: Request,
    services: Services,
    wall: Wall,
    *,
    who: Who,
    form: Annotated[FormData, Depends(read_form)],
) -> Response:
    sent = {name: str(value) for name, value in form.items()}
    nest = services.nest_book.nest(box)
    now, zone = services.clock.now(), services.settings.site.timezone
    form_id = sent.get("form_id") or str(uuid4())
    numbers = {guest.egg.id: guest.egg.number for guest in nest.guests}
    try:
        check = replace(check_from_form(sent, box, now, zone, guests=numbers), by=who.name)
        outcome = services.check_path.record(check)
    except InputError as error:
        return _page(request, services, wall, nest, form_id=form_id, sent=sent, wrong=str(error))
    if isinstance(outcome, Recorded):
        differs = "&differs=yes" if outcome.differs else ""
        return RedirectResponse(f"/nests/{nest.box.id}?saved={check.form_id}{differs}", 303)
    return _page(
        request, services, wall, nest, form_id=form_id, sent=sent, questions=outcome.questions
    )


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    nest: Nest,
    *,
    form_id: str,
    sent: Mapping[str, str] | None = None,
    questions: tuple[Question, ...] = (),
    wrong: str | None = None,
) -> Response:
    now: datetime = services.clock.now()
    zone = services.settings.site.timezone
    snapshot = wall.current()
    expected = nest_view(nest, services.nest_book.species(), None, now, zone).summary
    view = check_form(
        nest,
        form_id,
        expected,
        now,
        zone,
        book=BookSays(names={place.id: place.name for place in services.nest_book.places()}),
        sent=sent,
        questions=questions,
        wrong=wrong,
    )
    return page(
        request,
        "nest_check.html",
        status=422 if questions or wrong else 200,
        frame=frame(f"Look into {nest.box.name}", snapshot, services),
        view=view,
        version=snapshot.version,
    )
