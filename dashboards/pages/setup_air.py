"""Set-up of what the air needs to know of the shed: its coldest surface, and its heater."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import change
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.heater_form import (
    HeaterForm,
    heater_form,
    heater_form_view,
    read_heater,
    typed_heater,
)
from dashboards.views.surface_form import (
    SurfaceForm,
    read_surface,
    surface_form,
    surface_form_view,
    typed_surface,
)
from dashboards.wall_watch import WallWatch
from service.climate.cold_surface import ColdSurface
from service.settings import edits
from service.settings.editing import Edit

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]


@router.get("/setup/air")
def air(request: Request, services: Services, wall: Wall) -> Response:
    return _page(request, services, wall)


@router.post("/setup/air/surface")
def put_surface(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    typed = typed_surface(text_of(form))
    read = read_surface(typed)
    wrong = read if isinstance(read, tuple) else change(services, who, lambda: _surface_edit(read))
    if wrong:
        return _page(request, services, wall, surface=typed, wrong=wrong)
    return RedirectResponse("/setup", 303)


@router.post("/setup/air/heater")
def put_heater(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    typed = typed_heater(text_of(form))
    read = read_heater(typed)
    wrong = read if isinstance(read, tuple) else change(services, who, lambda: edits.heater(read))
    if wrong:
        return _page(request, services, wall, heater=typed, wrong=wrong)
    return RedirectResponse("/setup", 303)


def _surface_edit(surface: ColdSurface | None) -> Edit:
    if surface is None:
        return edits.surface()
    return edits.surface(
        temperature_factor=surface.temperature_factor, below_air_c=surface.below_air_k
    )


def _page(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    surface: SurfaceForm | None = None,
    heater: HeaterForm | None = None,
    wrong: tuple[str, ...] = (),
) -> Response:
    settings = services.settings
    return setup_page(
        request,
        services,
        wall,
        template="setup_air.html",
        title="Coldest surface, heater",
        view=surface_form_view(surface or surface_form(settings), settings),
        heater=heater_form_view(heater or heater_form(settings), settings),
        wrong=wrong,
    )
