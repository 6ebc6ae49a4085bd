"""The book of a box: what it holds, what is put right in it, and what is undone again."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.templating import page
from dashboards.views.book_view import book_view, facts_of, subject_title
from dashboards.views.chick_form import bird_sent, chick_form
from dashboards.views.correct_form import correct_form, corrections_sent
from dashboards.views.local_words import local_day
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError
from service.nests.book_correction import Subject
from service.nests.book_says import BookSays
from service.nests.correcting import NotInClutchError, value_in
from service.nests.facts import Fact, Value
from service.nests.nest import Chick, Clutch, Nest
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
    return _one(request, services, wall, _found(services, box, subject, number))


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
    found = _found(services, box, subject, number)
    try:
        changed = _changed(found, sent, services)
        services.nest_book.correct_all(
            subject,
            number,
            changed,
            at=services.clock.now(),
            why=sent.get("why", "").strip()[:500] or None,
            by=who.name,
        )
    except InputError as error:
        return _one(request, services, wall, found, sent=sent, wrong=str(error))
    return RedirectResponse(f"/nests/{box}/book?clutch={found.clutch.id}&told=corrected", 303)


@router.get("/nests/{box}/book/chick/{number}/bird")
def chick(box: str, number: int, request: Request, services: Services, wall: Wall) -> Response:
    found = _found(services, box, Subject.CHICK, number)
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
    form: Form,
) -> Response:
    sent = text_of(form)
    found = _found(services, box, Subject.CHICK, number)
    now = services.clock.now()
    today = local_day(now, services.settings.site.timezone)
    try:
        told = bird_sent(sent, _hatched_on(found, services))
        services.nest_book.bird_of_chick(number, told, at=now, today=today, by=who.name)
    except InputError as error:
        return _chick(request, services, wall, found, sent, wrong=str(error))
    return RedirectResponse(f"/nests/{box}/book?clutch={found.clutch.id}&told=bird", 303)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """One subject of the book of a box, with its facts as they stand."""

    nest: Nest
    clutch: Clutch
    subject: Subject
    number: int
    facts: Mapping[Fact, Value]

    @property
    def title(self) -> str:
        return f"{subject_title(self.subject, self.number, self.clutch)} of {self.nest.box.name}"

    @property
    def chick(self) -> Chick | None:
        chicks = (one for one in self.clutch.chicks if self.subject is Subject.CHICK)
        return next((one for one in chicks if one.id == self.number), None)


def _found(services: PageServices, box: str, subject: Subject, number: int) -> _Found:
    """A subject of a clutch that was laid in this box.

    Raises:
        NotKnownError: there is none.
    """
    nest = services.nest_book.nest(box)
    for clutch in services.nest_book.clutches_in(box):
        facts = _facts(services, clutch, subject, number)
        if facts is not None:
            return _Found(nest=nest, clutch=clutch, subject=subject, number=number, facts=facts)
    raise NotKnownError(f"The book of {nest.box.name} has no {subject} {number}.")


def _facts(
    services: PageServices, clutch: Clutch, subject: Subject, number: int
) -> Mapping[Fact, Value] | None:
    """None where the clutch has no such subject."""
    facts = facts_of(subject)
    if subject is Subject.WEIGHING:
        for one in services.nest_book.weighings_of(clutch.id):
            if one.id == number:
                return {f: tuple(getattr(one, part.name) for part in f.parts) for f in facts}
        return None
    try:
        told = {fact: value_in(clutch, fact, number) for fact in facts}
    except NotInClutchError:
        return None
    if subject is Subject.MOVE and all(one is None for value in told.values() for one in value):
        return None
    return told or None


def _changed(
    found: _Found, sent: Mapping[str, str], services: PageServices
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
    found: _Found,
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
        address=f"/nests/{found.nest.box.id}/book/{found.subject}/{found.number}",
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


def _hatched_on(found: _Found, services: PageServices) -> date | None:
    """The day on which the chick was first seen, in the shed's calendar."""
    if found.chick is None:
        return None
    return local_day(found.chick.hatched_to, services.settings.site.timezone)


def _chick(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    found: _Found,
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
