"""The book of a box: what it holds, what is put right in it, and what is undone again."""

from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.book_subject import BookSubject, find_subject
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of, why_of
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.book_view import book_view
from dashboards.views.correct_form import correct_form, corrections_sent
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError
from service.nests.book_correction import Subject
from service.nests.book_says import BookSays
from service.nests.nest import Nest
from service.nests.place import PlaceKind
from service.people.role import Role

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]


@router.get("/nests/{box}/book")
def book(
    box: str,
    request: Request,
    services: Services,
    wall: Wall,
    *,
    clutch: int | None = None,
    told: str = "",
) -> Response:
    return _book(request, services, wall, services.nest_book.nest(box), clutch=clutch, told=told)


@router.post("/nests/{box}/book/undo/{correction}")
def undo(
    box: str, correction: int, request: Request, services: Services, wall: Wall, *, who: Who
) -> Response:
    nest = services.nest_book.nest(box)
    clutch_id = _clutch_of_correction(services, box, correction)
    try:
        services.nest_book.undo(correction, at=services.clock.now(), by=who.name)
    except InputError as error:
        return _book(request, services, wall, nest, clutch=clutch_id, wrong=str(error))
    return RedirectResponse(f"/nests/{box}/book?clutch={clutch_id}&told=undone", 303)


@router.get("/nests/{box}/book/{subject}/{number}")
def one(
    box: str, subject: Subject, number: int, *, request: Request, services: Services, wall: Wall
) -> Response:
    return _one(request, services, wall, find_subject(services, box, subject, number))


@router.post("/nests/{box}/book/{subject}/{number}")
def correct(
    box: str,
    subject: Subject,
    number: int,
    *,
    request: Request,
    services: Services,
    wall: Wall,
    who: Who,
    form: Form,
) -> Response:
    sent = text_of(form)
    found = find_subject(services, box, subject, number)
    try:
        changed = _changed(found, sent, services)
        services.nest_book.correct_all(
            subject,
            number,
            changed,
            at=services.clock.now(),
            why=why_of(sent),
            by=who.name,
        )
    except InputError as error:
        return _one(request, services, wall, found, sent=sent, wrong=str(error))
    return RedirectResponse(f"/nests/{box}/book?clutch={found.clutch.id}&told=corrected", 303)


def _changed(
    found: BookSubject, sent: Mapping[str, str], services: PageServices
) -> dict[str, str | None]:
    zone = services.settings.site.timezone
    if sent.get("take_back"):
        name = "egg" if found.subject is Subject.EGG else next(iter(found.facts)).name
        return {name: None}
    changed = corrections_sent(found.facts, sent, zone)
    if not changed:
        raise InputError("Nothing is different from what the book says.")
    return changed


def _clutch_of_correction(services: PageServices, box: str, correction: int) -> int:
    for clutch in services.nest_book.clutches_in(box):
        if correction in [one.id for one in services.nest_book.corrections(clutch.id)]:
            return clutch.id
    raise NotKnownError(f"The book of {box} has no correction {correction}.")


def _says(services: PageServices) -> BookSays:
    return BookSays(names={place.id: place.name for place in services.nest_book.places()})


def _book(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    nest: Nest,
    *,
    clutch: int | None = None,
    told: str = "",
    wrong: str | None = None,
) -> Response:
    snapshot = wall.current()
    kept = services.nest_book
    clutches = kept.clutches_in(nest.box.id)
    shown = next((one for one in clutches if one.id == clutch), clutches[-1] if clutches else None)
    visitor = request.state.visitor
    return page(
        request,
        "nest_book.html",
        status=422 if wrong else 200,
        frame=frame(f"The book of {nest.box.name}", snapshot, services),
        view=book_view(
            nest,
            clutches,
            shown,
            kept.weighings_of(shown.id) if shown else (),
            kept.corrections(shown.id) if shown else (),
            zone=services.settings.site.timezone,
            book=_says(services),
            told=told,
        ),
        wrong=wrong,
        may_correct=visitor is not None and visitor.role is Role.KEEPER,
        version=snapshot.version,
    )


def _one(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    found: BookSubject,
    *,
    sent: Mapping[str, str] | None = None,
    wrong: str | None = None,
) -> Response:
    snapshot = wall.current()
    boxes = [one for one in services.nest_book.places() if one.kind is PlaceKind.BOX]
    view = correct_form(
        found.nest.box,
        found.title,
        found.facts,
        address=found.address,
        boxes=boxes,
        zone=services.settings.site.timezone,
        bird=found.chick is not None and found.chick.bird_id is None,
        sent=sent,
        wrong=wrong,
    )
    return page(
        request,
        "nest_correct.html",
        status=422 if wrong else 200,
        frame=frame(found.title, snapshot, services),
        view=view,
        version=snapshot.version,
    )
