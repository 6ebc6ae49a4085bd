"""Set-up of the lamps: when they burn, and a programme of light that changes it step by step."""

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import answer_lamps, change
from dashboards.as_shown import MEANWHILE, is_stale
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.lamps_form import LampsFormView, lamps_form, lamps_form_view
from dashboards.views.light_maker_form import (
    MakerForm,
    fixed_steps,
    maker_key,
    read_maker,
    typed_maker,
    with_made,
)
from dashboards.views.light_steps_form import (
    LightStepsView,
    light_steps_view,
    read_steps,
    typed_steps,
)
from dashboards.views.local_words import local_day
from dashboards.wall_watch import WallWatch
from service.climate.light_plan import LightStep
from service.settings import edits

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
_HERE = "/setup/lamps"


@router.get("/setup/lamps")
def lamps(request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall)


@router.post("/setup/lamps")
def put_lamps(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    asked = answer_lamps(text_of(form), services, who)
    if asked.kept:
        return RedirectResponse("/setup", 303)
    return _page(request, services, wall, lamps=asked.view, wrong=asked.wrong)


@router.post("/setup/lamps/steps")
def put_steps(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    rows = typed_steps(told)
    read = read_steps(rows, services.settings)
    if is_stale(told, services.settings.light.steps):
        wrong: tuple[str, ...] = (MEANWHILE,)
    elif isinstance(read, tuple):
        wrong = read
    else:
        wrong = change(services, who, lambda: edits.lamp_steps(read))
    if not wrong:
        return RedirectResponse(_HERE, 303)
    view = light_steps_view(services.settings, _today(services), typed=rows)
    return _page(request, services, wall, steps=view, wrong=wrong)


@router.post("/setup/lamps/steps/make")
def make_steps(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    """The steps are shown before they are kept."""
    told = text_of(form)
    maker, settings = typed_maker(told), services.settings
    made = read_maker(maker, settings)
    if not made or isinstance(made[0], str):
        wrong = tuple(one for one in made if isinstance(one, str))
        return _page(request, services, wall, steps=_made(services, maker), wrong=wrong)
    steps = tuple(one for one in made if isinstance(one, LightStep))
    if told.get("shown") != maker_key(maker) or is_stale(told, settings.light.steps):
        return _page(request, services, wall, steps=_made(services, maker, steps))
    wrong = change(services, who, lambda: edits.lamp_steps(with_made(settings, steps)))
    if wrong:
        return _page(request, services, wall, steps=_made(services, maker, steps), wrong=wrong)
    return RedirectResponse(_HERE, 303)


@router.post("/setup/lamps/steps/clear")
def clear_steps(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    """All steps go but the file's."""
    settings = services.settings
    wrong: tuple[str, ...] = (MEANWHILE,)
    if not is_stale(text_of(form), settings.light.steps):
        wrong = change(services, who, lambda: edits.lamp_steps(fixed_steps(settings)))
    return _page(request, services, wall, wrong=wrong) if wrong else RedirectResponse(_HERE, 303)


def _made(
    services: PageServices, maker: MakerForm, made: tuple[LightStep, ...] = ()
) -> LightStepsView:
    return light_steps_view(services.settings, _today(services), maker=maker, made=made)


def _today(services: PageServices) -> date:
    return local_day(services.clock.now(), services.settings.site.timezone)


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    lamps: LampsFormView | None = None,
    steps: LightStepsView | None = None,
    wrong: tuple[str, ...] = (),
) -> Response:
    settings = services.settings
    return setup_page(
        request,
        services,
        wall,
        template="setup_lamps.html",
        title="Lamps",
        view=lamps or lamps_form_view(lamps_form(settings), settings),
        steps=steps or light_steps_view(settings, _today(services)),
        wrong=wrong,
    )
