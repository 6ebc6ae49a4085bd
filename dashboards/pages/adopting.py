"""Giving an unknown sender a place: two taps, and it is a sensor."""

from collections.abc import Mapping
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import change
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.adoption import adoption_edit, adoption_view, own_quantity
from dashboards.wall_watch import WallWatch
from service.errors import NotKnownError
from service.store.reading_store import Stranger

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]


@router.get("/sensors/adopt")
def adopt(request: Request, services: Services, wall: Wall, device: str = "") -> Response:
    if any(sensor.device == device for sensor in services.settings.sensors):
        return RedirectResponse(sensor_address(device), 303)
    return _asked(request, services, wall, device=device, form={})


@router.post("/sensors/adopt")
def put_adopted(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    device = told.get("device", "")
    measures = [one.measure for one in _strangers(services, device) if asks(one)]
    wrong = change(services, who, lambda: adoption_edit(device, told, measures, services.settings))
    if wrong:
        return _asked(request, services, wall, device=device, form=told, wrong=wrong)
    return RedirectResponse(sensor_address(device) + "&set_up=yes", 303)


def sensor_address(device: str) -> str:
    """The page of one sensor. Its name may hold a slash, so that it is no part of the path."""
    return f"/sensors/one?device={quote(device, safe='')}"


def asks(one: Stranger) -> bool:
    """Whether the keeper has to say what a measure is."""
    return own_quantity(one.measure) is None


def _strangers(services: PageServices, device: str) -> list[Stranger]:
    return [one for one in services.readings.strangers() if one.device == device]


def _asked(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    device: str,
    form: Mapping[str, str],
    wrong: tuple[str, ...] = (),
) -> Response:
    strangers = _strangers(services, device)
    if not strangers:
        raise NotKnownError(f"No sender {device[:64]!r} is heard that has no place.")
    view = adoption_view(
        device,
        strangers,
        services.settings,
        heard_every=wall.arrivals.of_device(device),
        form=form,
        now=services.clock.now(),
    )
    title = f"A place for {device}"
    return setup_page(
        request, services, wall, template="adopt.html", title=title, view=view, wrong=wrong
    )
