"""An egg or a chick goes into another box: fostering, told on a phone."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.move_form import MoveSent, after_looks, move_form, move_sent, told_moves
from dashboards.wall_watch import WallWatch
from service.errors import InputError
from service.nests.book_says import BookSays
from service.nests.moving import doubts, why_not
from service.nests.nest import Nest

router = APIRouter()


@router.get("/nests/{box}/move")
def form(box: str, request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall, services.nest_book.nest(box))


@router.post("/nests/{box}/move")
def move(
    box: str,
    request: Request,
    services: Services,
    wall: Wall,
    *,
    who: Who,
    form: Annotated[FormData, Depends(read_form)],
) -> Response:
    fields = text_of(form)
    nest = services.nest_book.nest(box)
    now = services.clock.now()
    try:
        sent = move_sent(fields, now, services.settings.site.timezone)
        into = services.nest_book.nest(sent.to_box)
        sent = replace(sent, at=after_looks(sent.at, nest, into))
        asked = _asked(sent, nest, into, services)
        if asked and not sent.sure:
            return _page(request, services, wall, nest, sent=fields, doubts=asked)
        services.nest_book.move(
            [(egg_id, box) for egg_id in sent.egg_ids],
            to_box=sent.to_box,
            at=sent.at,
            now=now,
            why=sent.why,
            by=who.name,
        )
    except InputError as error:
        return _page(request, services, wall, nest, sent=fields, wrong=str(error))
    return RedirectResponse(f"/nests/{box}/book?told=moved", 303)


def _asked(sent: MoveSent, nest: Nest, into: Nest, services: PageServices) -> tuple[str, ...]:
    """Doubts about the moves, each once.

    Raises:
        InputError: one of them can't have been; in the shed's own time.
    """
    zone, now = services.settings.site.timezone, services.clock.now()
    found: dict[str, None] = {}
    for told in told_moves(sent, nest, into, _says(services)):
        reason = why_not(told, now, zone)
        if reason is not None:
            raise InputError(reason)
        found |= dict.fromkeys(doubts(told))
    return tuple(found)


def _says(services: PageServices) -> BookSays:
    return BookSays(names={place.id: place.name for place in services.nest_book.places()})


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    nest: Nest,
    *,
    sent: Mapping[str, str] | None = None,
    doubts: Sequence[str] = (),
    wrong: str | None = None,
) -> Response:
    snapshot = wall.current()
    view = move_form(
        nest,
        services.nest_book.nests(),
        services.clock.now(),
        services.settings.site.timezone,
        book=_says(services),
        sent=sent,
        doubts=doubts,
        wrong=wrong,
    )
    return page(
        request,
        "nest_move.html",
        status=422 if doubts or wrong else 200,
        frame=frame(f"Move from {nest.box.name}", snapshot, services),
        view=view,
        version=snapshot.version,
    )
