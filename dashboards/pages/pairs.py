"""Pairs: put up with their kinship shown first, ended, and what came of each."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.book_known import known_of, shed_day
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of, why_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.bird_form import day_typed
from dashboards.views.pair_view import (
    Chosen,
    pair_view,
    pairing_view,
    pairs_view,
    read_pairing,
    shown_mark,
    whole_faults,
)
from dashboards.wall_watch import WallWatch
from service.errors import InputError, NotKnownError
from service.nests.nest import Pair
from service.people.role import Role
from service.store.faulty_bird import FaultyBirdError

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
ALL = "/setup/pairs"
_FIELDS = ("cock", "hen", "cage", "on")


@router.get("/setup/pairs")
def pairs(request: Request, services: Services, wall: Wall) -> Response:
    return setup_page(
        request,
        services,
        wall,
        template="pairs.html",
        title="Pairs",
        view=pairs_view(known_of(services)),
        may_change=request.state.visitor.role is Role.KEEPER,
    )


@router.get("/setup/pairs/new")
def new(request: Request, services: Services, wall: Wall) -> Response:
    asked = request.query_params
    typed = {name: asked.get(name, "")[:200] for name in _FIELDS}
    typed["on"] = typed["on"] or shed_day(services).isoformat()
    known, today = known_of(services), shed_day(services)
    chosen = read_pairing(typed, known, today)
    both = chosen.cock is not None and chosen.hen is not None and chosen.cage is not None
    wrong = whole_faults(chosen, known) if both else chosen.faults
    return _pairing(request, services, wall, typed, chosen, wrong)


@router.post("/setup/pairs/new")
def put_up(request: Request, services: Services, wall: Wall, form: Form) -> Response:
    typed = text_of(form)
    known, today = known_of(services), shed_day(services)
    chosen = read_pairing(typed, known, today)
    wrong = whole_faults(chosen, known)
    if wrong or typed.get("shown") != shown_mark(chosen):
        return _pairing(request, services, wall, typed, chosen, wrong)
    try:
        made = _put_up(chosen, services)
    except InputError as error:
        return _pairing(request, services, wall, typed, chosen, (str(error),))
    return RedirectResponse(f"{ALL}/{made.id}", 303)


def _put_up(chosen: Chosen, services: PageServices) -> Pair:
    if chosen.cock is None or chosen.hen is None or chosen.cage is None or chosen.on is None:
        raise InputError("A pair needs a cock, a hen, a cage and a day.")
    return services.nest_book.put_up(
        cage=chosen.cage, cock_id=chosen.cock.id, hen_id=chosen.hen.id, on=chosen.on
    )


@router.get("/setup/pairs/{pair}")
def one(pair: int, request: Request, services: Services, wall: Wall) -> Response:
    return _one(request, services, wall, pair)


@router.post("/setup/pairs/{pair}/end")
def end(  # noqa: PLR0917 - what a route asks for
    pair: int, request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    typed = text_of(form)
    wrong = _ended(pair, typed, services, who.name)
    if wrong:
        return _one(request, services, wall, pair, wrong=wrong, day=typed.get("on", ""))
    return RedirectResponse(f"{ALL}/{pair}", 303)


def _ended(
    pair: int, typed: dict[str, str], services: PageServices, by: str | None
) -> tuple[str, ...]:
    _known_pair(services, pair)
    faults: list[str] = []
    on = day_typed(typed.get("on", ""), "ended", faults)
    if on is None:
        return tuple(faults) or ("Ended: a day is needed.",)
    if on > shed_day(services):
        return (f"Ended: {on.isoformat()} is yet to come; allowed: up to today.",)
    try:
        why = why_of(typed)
        services.birds.end_pair(pair, on=on, by=by, at=services.clock.now(), why=why)
    except InputError as error:
        return (str(error),)
    return ()


@router.post("/setup/pairs/{pair}/undo")
def undo(  # noqa: PLR0917 - what a route asks for
    pair: int, request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    told = text_of(form).get("correction", "")
    corrections = services.birds.corrections_of_pair(pair)
    found = next((one for one in corrections if str(one.id) == told), None)
    if found is None:
        raise NotKnownError("There is no such change of this pair.")
    try:
        services.birds.undo(
            found.id, by=who.name, at=services.clock.now(), today=shed_day(services)
        )
    except InputError as error:
        faults = error.faults if isinstance(error, FaultyBirdError) else (str(error),)
        return _one(request, services, wall, pair, wrong=faults)
    return RedirectResponse(f"{ALL}/{pair}", 303)


def _known_pair(services: PageServices, pair_id: int) -> Pair:
    found = next((one for one in services.nest_book.pairs() if one.id == pair_id), None)
    if found is None:
        raise NotKnownError("There is no such pair.")
    return found


def _one(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    pair_id: int,
    *,
    wrong: tuple[str, ...] = (),
    day: str = "",
) -> Response:
    view = pair_view(
        _known_pair(services, pair_id),
        known_of(services),
        services.nest_book.clutches_of(pair_id),
        services.birds.corrections_of_pair(pair_id),
        now=services.clock.now(),
        zone=services.settings.site.timezone,
    )
    today = shed_day(services).isoformat()
    return setup_page(
        request,
        services,
        wall,
        template="pair.html",
        title=view.title,
        view=view,
        wrong=wrong,
        today=today,
        day=day or today,
        may_change=request.state.visitor.role is Role.KEEPER,
    )


def _pairing(  # noqa: PLR0917 - the form as it was sent, and what is wrong with it
    request: Request,
    services: PageServices,
    wall: WallWatch,
    typed: dict[str, str],
    chosen: Chosen,
    wrong: tuple[str, ...],
) -> Response:
    return setup_page(
        request,
        services,
        wall,
        template="pairing.html",
        title="Put up a pair",
        view=pairing_view(typed, chosen, known_of(services), shed_day(services)),
        wrong=wrong,
    )
