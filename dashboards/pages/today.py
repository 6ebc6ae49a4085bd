"""Today's list: what is due on this visit, in walking order; one form a stop, one tap a thing."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from threading import Lock
from typing import Annotated
from urllib.parse import quote
from uuid import UUID, uuid5

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.framing import frame
from dashboards.marks.nest_marks import due_mark
from dashboards.marks.svg import drawing
from dashboards.page_services import PageServices
from dashboards.templating import drawn, page
from dashboards.today_facts import duty_words, today_view
from dashboards.views.local_words import clock_time
from dashboards.views.look_saved import look_saved
from dashboards.views.today_stops import slot_of, stop_ids
from dashboards.views.today_view import TodayView
from dashboards.visit_timing import visit_time
from dashboards.wall_watch import WallWatch
from service.errors import InputError
from service.nest_check_path import Recorded
from service.nests.plain_look import plain_look
from service.nests.suggestion import LATER, Answer
from service.nests.typed_text import whole_of
from service.people.role import Role, Visitor

router = APIRouter()

_LOOKING = Lock()
"""One-tap looks are written one after the other, each after it read what the last one wrote."""


@router.get("/today")
def today(
    request: Request,
    services: Services,
    wall: Wall,
    who: Who,
    *,
    at: str | None = None,
    saved: str | None = None,
    box: str | None = None,
) -> Response:
    return _page(request, services, wall, who, at=at or _stop_of(box, services), saved=saved)


@router.post("/today")
def tap(
    request: Request,
    services: Services,
    wall: Wall,
    who: Who,
    form: Annotated[FormData, Depends(read_form)],
) -> Response:
    act = _Act.of(form, services.clock.now())
    told = tuple(_carry_out(act, services, who))
    if told:
        return _page(request, services, wall, who, at=act.stop, told=told)
    view = today_view(services, wall.current(), who, at=act.stop)
    here = next((stop.place for stop in view.stops if stop.standing == "now"), act.stop)
    return RedirectResponse(f"/today?at={quote(act.stop)}#{quote(here)}", 303)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Act:
    """One tap, as the form told it. ``id`` is the same however often the form is sent."""

    id: UUID
    what: str
    rest: str
    stop: str
    form: FormData
    now: datetime

    @staticmethod
    def of(form: FormData, now: datetime) -> "_Act":
        told = str(form.get("do", ""))
        try:
            form_id = UUID(str(form.get("form_id", "")))
        except ValueError as error:
            raise InputError("This form has no number; open today's list anew.") from error
        what, _, rest = told.partition("|")
        return _Act(
            id=uuid5(form_id, f"{form.get('stop', '')}|{told}"),
            what=what,
            rest=rest,
            stop=str(form.get("stop", "")),
            form=form,
            now=now,
        )

    def all(self, name: str) -> list[str]:
        """All fields of that name."""
        return [str(value) for value in self.form.getlist(name)]


def _carry_out(act: _Act, services: PageServices, who: Visitor) -> Iterator[str]:
    """Do what was tapped; what the keeper has to be told, in sentences."""
    doing = _DOING.get(act.what)
    if doing is None:
        raise InputError("Nothing was tapped that today's list knows; open it anew.")
    yield from doing(act, services, who)


def _done(act: _Act, services: PageServices, who: Visitor) -> Iterator[str]:
    yield from _mark(act, [act.rest], services, who)


def _all(act: _Act, services: PageServices, who: Visitor) -> Iterator[str]:
    yield from _mark(act, act.all("slot"), services, who)
    for box in act.all("box"):
        yield from _look(act, box, services, who)


def _mark(act: _Act, tokens: list[str], services: PageServices, who: Visitor) -> Iterator[str]:
    """Mark slots as done. Of what somebody had done before it is said who did, and when."""
    now, zone = act.now, services.settings.site.timezone
    slots = [slot for token in tokens if (slot := slot_of(token)) is not None]
    words = duty_words(services, slots, now)
    gone = len(slots) - len(words)
    if gone:
        yield "A duty was taken away since this page was read; nothing is written for it."
    if not words:
        return
    stand = services.duties.mark_done(words, at=now, by=who.name, form_id=act.id)
    before = [one for one in stand if one.form_id != act.id and one.stands]
    for one in before:
        yield (
            f"{one.words} was done before: {clock_time(one.at, zone)}"
            f"{f', {one.by}' if one.by else ''}. That stands."
        )


def _look(act: _Act, box: str, services: PageServices, who: Visitor) -> Iterator[str]:
    """Tell that all is as it was, unless the box was told of since the page was read."""
    form_id = uuid5(act.id, box)
    with _LOOKING:
        nest = services.nest_book.nest(box)
        if services.nest_book.check(str(form_id)) is not None:
            return
        if str(nest.revision) != str(act.form.get(f"seen.{box}", "")):
            yield (
                f"{nest.box.name} was told of by somebody since this page was read, so your look "
                "is not written yet. See what stands there now, and tap again."
            )
            return
        look = plain_look(nest, form_id, act.now, by=who.name)
        outcome = services.check_path.record(look)
    if not isinstance(outcome, Recorded):
        asked = " ".join(question.sentence for question in outcome.questions)
        yield f"{nest.box.name} is not written: {asked} Tell it in the box's own form."
        return
    if all(check.form_id != form_id for check in outcome.nest.checks):
        _mark_looked(act, box, services, who)
        return


def _mark_looked(act: _Act, box: str, services: PageServices, who: Visitor) -> None:
    """The duty to look is settled by the look itself; but a nest where nobody breeds has no looks
    of its own, so there the duty is marked.
    """
    told = (slot_of(token) for token in act.all("look_slot"))
    slots = [slot for slot in told if slot is not None and slot.place == box]
    words = duty_words(services, slots, act.now)
    if words:
        services.duties.mark_done(words, at=act.now, by=who.name, form_id=act.id)


def _undone(act: _Act, services: PageServices, who: Visitor) -> Iterator[str]:
    yield from _take_back([act.rest], [], services, who)


def _undo(act: _Act, services: PageServices, who: Visitor) -> Iterator[str]:
    yield from _take_back(act.all("undo_done"), act.all("undo_look"), services, who)


def _take_back(
    done_ids: list[str], looks: list[str], services: PageServices, who: Visitor
) -> Iterator[str]:
    now = services.clock.now()
    for form_id in looks:
        look = services.nest_book.check(form_id)
        if look is None:
            continue
        _refuse_others(look.by, who)
        services.nest_book.withdraw(form_id)
    ids = [found for one in done_ids if (found := whole_of(one)) is not None]
    rows = [one for one in services.duties.last_done() if one.id in ids]
    for one in rows:
        _refuse_others(one.by, who)
    if ids:
        services.duties.undo(ids, at=now, by=who.name)
    for one in rows:
        if one.form_id is not None:  # a look of the same tap, where the nest has none of its own
            services.nest_book.withdraw(str(uuid5(one.form_id, one.slot.place)))
    yield from ()


def _refuse_others(by: str | None, who: Visitor) -> None:
    if who.role is Role.HELPER and by != who.name:
        raise InputError(f"{by or 'Somebody else'} did that; the keeper can take it back.")


def _ask(act: _Act, services: PageServices, who: Visitor) -> Iterator[str]:
    told, _, word = act.rest.partition("|")
    number = whole_of(told)
    if number is None or word not in ("", *Answer):
        raise InputError("That is no answer to any suggestion; open today's list anew.")
    now, zone = services.clock.now(), services.settings.site.timezone
    answer = Answer(word) if word else None
    stands = services.suggestions.answer(
        number, answer, at=now, by=who.name, later_until=now + LATER
    )
    if answer is not None and stands.answer is not answer and stands.answered_at is not None:
        yield (
            f"That was answered before: {stands.answer}, {clock_time(stands.answered_at, zone)}"
            f"{f', {stands.answered_by}' if stands.answered_by else ''}. That stands."
        )


_DOING = {"done": _done, "all": _all, "undone": _undone, "undo": _undo, "ask": _ask}


def _stop_of(box: str | None, services: PageServices) -> str | None:
    """The stop of a box that the keeper comes back from."""
    return stop_ids(services.settings.places).get(box) if box else None


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    who: Visitor,
    *,
    at: str | None,
    told: tuple[str, ...] = (),
    saved: str | None = None,
) -> Response:
    snapshot = wall.current()
    view = today_view(services, snapshot, who, at=at)
    return page(
        request,
        "today.html",
        frame=frame(view.title, snapshot, services),
        view=view,
        marks=_marks(view),
        told=told,
        look_saved=look_saved(services.nest_book, saved),
        visit_time=visit_time(services, services.clock.now()),
        version=snapshot.version,
    )


def _marks(view: TodayView) -> dict[str, object]:
    return {
        part.look.box: drawn(
            drawing(
                due_mark(part.look.kind, 26, 26, 40, "currentColor"), 52, 52, label=part.look.kind
            )
        )
        for stop in view.stops
        for part in stop.boxes
        if part.look.kind is not None
    }
