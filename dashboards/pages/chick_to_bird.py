"""A chick becomes a bird of the book, with its ring and the parents that laid it."""

from collections.abc import Mapping
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.book_subject import BookSubject, find_subject
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.chick_form import bird_sent, chick_form
from dashboards.views.local_words import local_day
from dashboards.wall_watch import WallWatch
from service.errors import InputError
from service.nests.book_correction import Subject

router = APIRouter()


@router.get("/nests/{box}/book/chick/{number}/bird")
def chick(box: str, number: int, request: Request, services: Services, wall: Wall) -> Response:
    found = find_subject(services, box, Subject.CHICK, number)
    return _chick(request, services, wall, found, {"sex": "unknown"})


@router.post("/nests/{box}/book/chick/{number}/bird")
def bird(
    box: str,
    number: int,
    *,
    request: Request,
    services: Services,
    wall: Wall,
    who: Who,
    form: Annotated[FormData, Depends(read_form)],
) -> Response:
    sent = text_of(form)
    found = find_subject(services, box, Subject.CHICK, number)
    now = services.clock.now()
    today = local_day(now, services.settings.site.timezone)
    try:
        told = bird_sent(sent, _hatched_on(found, services))
        services.nest_book.bird_of_chick(number, told, at=now, today=today, by=who.name)
    except InputError as error:
        return _chick(request, services, wall, found, sent, wrong=str(error))
    return RedirectResponse(f"/nests/{box}/book?clutch={found.clutch.id}&told=bird", 303)


def _hatched_on(found: BookSubject, services: PageServices) -> date | None:
    """The day on which the chick was first seen, in the shed's calendar."""
    if found.chick is None:
        return None
    return local_day(found.chick.hatched_to, services.settings.site.timezone)


def _chick(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    found: BookSubject,
    sent: Mapping[str, str],
    *,
    wrong: str | None = None,
) -> Response:
    snapshot = wall.current()
    pair = next(pair for pair in services.nest_book.pairs() if pair.id == found.clutch.pair_id)
    assert found.chick is not None  # noqa: S101 - found as a chick
    view = chick_form(
        found.nest.box,
        found.chick,
        pair,
        sent,
        hatched_on=_hatched_on(found, services),
        wrong=wrong,
    )
    return page(
        request,
        "nest_chick.html",
        status=422 if wrong else 200,
        frame=frame(view.title, snapshot, services),
        view=view,
        version=snapshot.version,
    )
