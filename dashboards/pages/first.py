"""The first day, step by step, after the keeper was made: up to the first live value."""

import time
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import Asked, answer_cages, answer_lamps, answer_shed
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.framing import frame
from dashboards.page_services import PageServices
from dashboards.phones import answer_phones, phones_now
from dashboards.templating import page
from dashboards.views.cages_form import cages_form, cages_form_view
from dashboards.views.first_steps import Step, after, next_step, step_frame, steps_set
from dashboards.views.lamps_form import lamps_form, lamps_form_view
from dashboards.views.shed_form import ShedAnswer, read_shed, shed_form, shed_form_view
from dashboards.views.waiting_view import first_value, waiting_view
from dashboards.wall_watch import WallWatch
from service.answers.health import pulse
from service.machine.own_addresses import own_addresses
from service.people.role import Role, Visitor
from service.store.alarm_store import RequestKind

router = APIRouter()

ASK_AGAIN_S = 60.0
"""How long the watch has to begin a round, and how near its end the next is asked for."""

Form = Annotated[FormData, Depends(read_form)]


@router.get("/first")
def first(services: Services) -> Response:
    step = step_to_do(services)
    return RedirectResponse(step.address if step else "/start", 303)


def step_to_do(services: PageServices) -> Step | None:
    """The step that comes next; None once there are a keeper and a value."""
    settings = services.settings
    value = first_value(settings, services.readings.latest(), services.clock.now())
    done = steps_set(settings, has_keeper=services.people.has_keeper(), has_value=value is not None)
    return next_step(done)


@router.get("/first/shed")
def shed(request: Request, services: Services, wall: Wall) -> Response:
    settings = services.settings
    form = shed_form(settings)
    read = read_shed(form)
    meant = read if isinstance(read, ShedAnswer) else None
    view = shed_form_view(form, meant, settings, services.clock.now())
    return _step(request, services, wall, Step.SHED, view)


@router.post("/first/shed")
def put_shed(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    return _answered(request, services, wall, Step.SHED, answer_shed(text_of(form), services, who))


@router.get("/first/lamps")
def lamps(request: Request, services: Services, wall: Wall) -> Response:
    settings = services.settings
    view = lamps_form_view(lamps_form(settings), settings)
    return _step(request, services, wall, Step.LAMPS, view)


@router.post("/first/lamps")
def put_lamps(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    return _answered(
        request, services, wall, Step.LAMPS, answer_lamps(text_of(form), services, who)
    )


@router.get("/first/cages")
def cages(request: Request, services: Services, wall: Wall) -> Response:
    settings = services.settings
    view = cages_form_view(cages_form(settings), settings)
    return _step(request, services, wall, Step.CAGES, view)


@router.post("/first/cages")
def put_cages(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    asked = answer_cages(text_of(form), services, who)
    if asked.kept:  # the walk that came of it is shown first
        return RedirectResponse(Step.CAGES.address, 303)
    return _answered(request, services, wall, Step.CAGES, asked)


@router.get("/first/phones")
def phones(request: Request, services: Services, wall: Wall) -> Response:
    return _step(request, services, wall, Step.PHONES, phones_now(request, services))


@router.post("/first/phones")
def put_phones(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    asked = answer_phones(text_of(form), request, services, who)
    if asked.kept:
        return RedirectResponse(Step.PHONES.address, 303)
    return _answered(request, services, wall, Step.PHONES, asked)


@router.get("/first/sensor")
def sensor(request: Request, services: Services, wall: Wall, who: Who) -> Response:
    """While this page is open, the watch is asked to listen to every topic."""
    _listen_round(request, services, who)
    store, heartbeat = services.readings, services.heartbeat()
    beat = pulse(heartbeat)
    view = waiting_view(
        services.settings,
        newest=store.latest(),
        strangers=store.strangers(),
        overheard=store.overheard(),
        standing=services.broker(),
        own_addresses=own_addresses(),
        accounts=services.accounts is not None,
        broker=heartbeat.broker if heartbeat and beat.lives else None,
        well=beat.lives and beat.well.get("listener", False),
        now=services.clock.now(),
    )
    return _step(request, services, wall, Step.SENSOR, view)


def _listen_round(request: Request, services: PageServices, visitor: Visitor) -> None:
    """Ask for a round where none is under way and none was asked for lately."""
    state, now = request.app.state, time.monotonic()
    asked_at: float | None = getattr(state, "listen_round_asked_at", None)
    heartbeat = services.heartbeat()
    listening = heartbeat is not None and heartbeat.round_left_s() > ASK_AGAIN_S
    if listening or (asked_at is not None and now - asked_at < ASK_AGAIN_S):
        return
    if visitor.role is not Role.KEEPER:
        return
    state.listen_round_asked_at = now
    if all(one.kind is not RequestKind.LISTEN_ROUND for one in services.requests.pending()):
        services.requests.ask(
            RequestKind.LISTEN_ROUND, "", by=visitor.name, at=services.clock.now()
        )


def _answered(
    request: Request, services: PageServices, wall: WallWatch, step: Step, asked: Asked[object]
) -> Response:
    if asked.kept:
        return RedirectResponse(after(step), 303)
    return _step(request, services, wall, step, asked.view, wrong=asked.wrong)


def _step(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    step: Step,
    view: object,
    *,
    wrong: tuple[str, ...] = (),
) -> Response:
    return page(
        request,
        f"first_{step.value}.html",
        status=422 if wrong else 200,
        frame=frame(step.words.capitalize(), wall.current(), services),
        step=step_frame(step),
        view=view,
        wrong=wrong,
    )
