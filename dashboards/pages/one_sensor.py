"""One sensor: its live values, its name, place and interval; replaced, or taken away."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import change
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.page_services import PageServices
from dashboards.pages.adopting import sensor_address
from dashboards.sensor_facts import SensorFacts, twins_told
from dashboards.setup_frame import setup_page
from dashboards.views.sensor_form import change_edit, replace_view, sensor_form_view
from dashboards.views.sensors_view import SensorTeller
from dashboards.wall_watch import WallWatch
from devices.sensor import Sensor
from service.answers.sensor_health import usual_gap
from service.errors import NotKnownError
from service.settings import edits

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
_GAPS_OF = timedelta(hours=6)


@router.get("/sensors/one")
def one_sensor(
    request: Request, services: Services, wall: Wall, device: str = "", set_up: str = ""
) -> Response:
    return _shown(request, services, wall, device=device, form={}, set_up=bool(set_up))


@router.post("/sensors/one")
def put_changed(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    device = told.get("device", "")
    sensor = _sensor(services, device)
    wrong = change(
        services,
        who,
        lambda: change_edit(sensor, told, services.readings.strangers(), services.settings),
    )
    if wrong:
        return _shown(request, services, wall, device=device, form=told, wrong=wrong)
    return RedirectResponse(sensor_address(device), 303)


@router.post("/sensors/interval")
def put_interval(
    request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    told = text_of(form)
    device = told.get("device", "")
    wrong = change(
        services, who, lambda: edits.change_sensor(device, interval=told.get("interval", ""))
    )
    if wrong:
        return _shown(request, services, wall, device=device, form={}, wrong=wrong)
    return RedirectResponse(sensor_address(device), 303)


@router.post("/sensors/remove")
def remove(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    device = text_of(form).get("device", "")
    wrong = change(services, who, lambda: edits.remove_sensor(device))
    if wrong:
        return _shown(request, services, wall, device=device, form={}, wrong=wrong)
    return RedirectResponse("/sensors", 303)


@router.get("/sensors/replace")
def replace_sensor(
    request: Request, services: Services, wall: Wall, old: str = "", new: str = ""
) -> Response:
    return _replacing(request, services, wall, {"old": old, "new": new})


@router.post("/sensors/replace")
def put_replaced(
    request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    told = text_of(form)
    old = told.get("old", "")
    new = told.get("typed", "").strip() or told.get("new", "")
    wrong = (
        change(services, who, lambda: edits.replace_sensor(old=old, new=new))
        if old and new
        else ("Choose which sensor goes, and which one comes.",)
    )
    if wrong:
        return _replacing(request, services, wall, told, wrong)
    return RedirectResponse(sensor_address(new) + "&set_up=yes", 303)


def _sensor(services: PageServices, device: str) -> Sensor:
    for sensor in services.settings.sensors:
        if sensor.device == device:
            return sensor
    raise NotKnownError(f"No sensor {device[:64]!r} is set up.")


def _shown(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    device: str,
    form: Mapping[str, str],
    wrong: Sequence[str] = (),
    set_up: bool = False,
) -> Response:
    sensor = _sensor(services, device)
    snapshot = wall.current()
    store, settings = services.readings, services.settings
    facts: SensorFacts = request.app.state.sensor_facts
    strangers = store.strangers()
    teller = SensorTeller(
        settings=settings,
        state=snapshot.state,
        newest=store.latest(),
        heard=store.deadlines(),
        strangers=strangers,
        twins=twins_told(services.alarms.open_alarms()),
        facts=facts.told(snapshot.now),
    )
    view = sensor_form_view(
        sensor,
        teller.row(sensor),
        settings,
        strangers,
        heard_every=_heard_every(services, sensor, snapshot.now),
        form=form,
        set_up=set_up,
    )
    return setup_page(
        request,
        services,
        wall,
        template="sensor.html",
        title=view.name,
        view=view,
        wrong=wrong,
    )


def _heard_every(services: PageServices, sensor: Sensor, now: datetime) -> timedelta | None:
    """By its readings of the last hours: the quantity that it tells most often."""
    found = []
    for series in services.readings.series():
        if (series.device, series.place) == (sensor.device, sensor.place):
            window = services.readings.window(series.id, now - _GAPS_OF, now)
            gap = usual_gap([one.measured_at for one in window])
            if gap is not None:
                found.append(gap)
    return min(found, default=None)


def _replacing(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    form: Mapping[str, str],
    wrong: Sequence[str] = (),
) -> Response:
    view = replace_view(
        services.settings,
        services.readings.strangers(),
        old=form.get("old", ""),
        new=form.get("new", ""),
        now=services.clock.now(),
    )
    return setup_page(
        request,
        services,
        wall,
        template="replace.html",
        title="Replace a sensor",
        view=view,
        wrong=wrong,
        typed=form.get("typed", ""),
    )
