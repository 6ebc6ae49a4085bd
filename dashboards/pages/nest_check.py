"""The form that is filled in at the nest, on a phone, and works without a script."""

from collections.abc import Mapping
from dataclasses import asdict, replace
from datetime import datetime
from typing import Annotated
from urllib.parse import quote
from uuid import uuid4

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.check_expected import Offers
from dashboards.views.check_form import check_form
from dashboards.views.check_preview import check_preview
from dashboards.views.check_rebased import out_already
from dashboards.views.check_sent import check_from_form
from dashboards.views.nest_view import nest_view
from dashboards.wall_watch import WallWatch
from service.errors import InputError
from service.nest_check_path import Recorded, Seen
from service.nests.book_says import BookSays
from service.nests.expected import Sight, expected, to_candle
from service.nests.nest import Nest, NestCheck
from service.nests.next_ring import last_ring, rings_after
from service.nests.question import Question

router = APIRouter()

TODAY = "today"
"""The word in ``from`` that leads back to today's list."""


@router.get("/nests/{box}/check")
def form(
    box: str,
    request: Request,
    services: Services,
    wall: Wall,
    *,
    came_from: Annotated[str, Query(alias="from")] = "",
) -> Response:
    nest = services.nest_book.nest(box)
    back = TODAY if came_from == TODAY else ""
    return _page(request, services, wall, nest, form_id=str(uuid4()), back=back)


@router.post("/nests/{box}/check/preview")
def preview(
    box: str, services: Services, who: Who, form: Annotated[FormData, Depends(read_form)]
) -> Response:
    """What this form would write, as JSON for the open page. Nothing is stored."""
    sent = {name: str(value) for name, value in form.items()}
    nest = services.nest_book.nest(box)
    try:
        check = replace(_check(sent, nest, services), by=who.name)
        foreseen = services.check_path.foresee(check, seen=_seen(sent))
    except InputError as error:
        return JSONResponse({"news": [], "there": "", "asks": [str(error)], "saved": False})
    return JSONResponse(asdict(check_preview(check, foreseen)))


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
    form_id = sent.get("form_id") or str(uuid4())
    try:
        check = replace(_check(sent, nest, services), by=who.name)
        outcome = services.check_path.record(check, seen=_seen(sent))
    except InputError as error:
        return _page(request, services, wall, nest, form_id=form_id, sent=sent, wrong=str(error))
    if isinstance(outcome, Recorded):
        return RedirectResponse(_after(sent, nest, outcome, form_id), 303)
    return _page(
        request, services, wall, outcome.nest, form_id=form_id, sent=sent, asked=outcome.questions
    )


def _check(sent: Mapping[str, str], nest: Nest, services: PageServices) -> NestCheck:
    return check_from_form(
        sent,
        nest.box.id,
        services.clock.now(),
        services.settings.site.timezone,
        guests={guest.egg.id: guest.egg.number for guest in nest.guests},
        out=out_already(nest),
        last_look=nest.checks[-1].at if nest.checks else None,
    )


def _seen(sent: Mapping[str, str]) -> Seen | None:
    """What the page had shown; None for a form that does not tell."""
    sign = sent.get("sign")
    return Seen(sign=sign, last_look=sent.get("last_look", "")) if sign else None


def _after(sent: Mapping[str, str], nest: Nest, outcome: Recorded, form_id: str) -> str:
    """Where it goes on: today's list at its cage, or the nest's own page."""
    differs = "&differs=yes" if outcome.differs else ""
    if sent.get("back") == TODAY:
        cage = quote(nest.box.within or nest.box.id, safe="")
        box = quote(nest.box.id, safe="")
        return f"/today?saved={form_id}&box={box}{differs}#{cage}"
    return f"/nests/{quote(nest.box.id, safe='')}?saved={form_id}{differs}"


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    nest: Nest,
    *,
    form_id: str,
    back: str = "",
    sent: Mapping[str, str] | None = None,
    asked: tuple[Question, ...] = (),
    wrong: str | None = None,
) -> Response:
    now: datetime = services.clock.now()
    zone = services.settings.site.timezone
    snapshot = wall.current()
    summary = nest_view(nest, services.nest_book.species(), None, now, zone).summary
    view = check_form(
        nest,
        form_id,
        summary,
        now,
        zone,
        book=BookSays(names={place.id: place.name for place in services.nest_book.places()}),
        offers=_offers(nest, services, now),
        back=back,
        sent=sent,
        questions=asked,
        wrong=wrong,
    )
    return page(
        request,
        "nest_check.html",
        status=422 if asked or wrong else 200,
        frame=frame(f"Look into {nest.box.name}", snapshot, services),
        view=view,
        version=snapshot.version,
    )


def _offers(nest: Nest, services: PageServices, now: datetime) -> Offers:
    species = services.nest_book.species()
    found = expected(nest, species, now, services.settings.site.timezone)
    rings = sum(one.sight is Sight.RING for one in found)
    return Offers(
        expected=found,
        to_candle=to_candle(nest, now, species),
        rings=_next_rings(services, rings) if rings else (),
    )


def _next_rings(services: PageServices, how_many: int) -> tuple[str, ...]:
    book = services.nest_book
    chicks = [chick for clutch in book.clutches() for chick in clutch.chicks]
    worn = [chick.ring for chick in chicks if chick.ring]
    worn += [bird.ring for bird in book.birds() if bird.ring]
    return rings_after(last_ring(chicks), how_many, worn)
