"""Calibrating one sensor: by a reference beside it, by two, or above a wet salt."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.calibration_facts import (
    RawNow,
    raw_value_of,
    raw_values,
    trial_now,
)
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.calibration_form import (
    read_instant,
    read_points,
    read_quantity,
    read_reference,
    read_salt,
    read_warmth,
)
from dashboards.views.calibration_view import calibration_view, exact, unwatched_without
from dashboards.views.quantity_words import quantity_words
from dashboards.views.salt_view import line_with, point_of, salt_choices, trial_view
from dashboards.wall_watch import WallWatch
from devices.reading import Quantity
from devices.sensor import Sensor
from service.errors import InputError, NotKnownError
from service.people.role import Visitor
from service.quality.calibrating import Line, Point, line_through, offset_through
from service.quality.correction import Correction
from service.store.calibration_store import Calibration, SaltTrial
from service.store.kept_settings import Change

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]
_RH = Quantity.RELATIVE_HUMIDITY


def calibration_address(device: str) -> str:
    """The page on which a sensor is calibrated."""
    return f"/sensors/calibration?device={quote(device, safe='')}"


@router.get("/sensors/calibration")
def calibration(
    request: Request, services: Services, wall: Wall, device: str = "", warmth: str = ""
) -> Response:
    return _shown(request, services, wall, {"device": device, "warmth": warmth})


@router.post("/sensors/calibration/offset")
def put_offset(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    return _done(request, services, wall, told, lambda: _put_offset(services, who, told))


@router.post("/sensors/calibration/points")
def put_points(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    return _done(request, services, wall, told, lambda: _put_points(services, who, told))


@router.post("/sensors/calibration/salt")
def start_trial(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    return _done(request, services, wall, told, lambda: _start_trial(services, who, told))


@router.post("/sensors/calibration/take")
def take_trial(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    return _done(request, services, wall, told, lambda: _take_trial(services, who, told))


@router.post("/sensors/calibration/give-up")
def give_up(request: Request, services: Services, wall: Wall, who: Who, form: Form) -> Response:
    told = text_of(form)
    return _done(request, services, wall, told, lambda: _give_up(services, who, told))


def _put_offset(services: PageServices, who: Visitor, told: Mapping[str, str]) -> None:
    sensor, now = _sensor(services, told), services.clock.now()
    _refuse_in_jar(services, sensor)
    quantity = read_quantity(told)
    reference = read_reference(told, quantity)
    seen = _seen(services, sensor, quantity, told)
    line = offset_through(quantity, Point(raw=seen.raw, reference=reference))
    made = _calibration(sensor, quantity, line, seen.raw, by=who.name, at=now)
    words = "a reference beside it"
    services.calibrations.add(
        replace(made, method="offset", reference=words), change=_change(sensor, made, who)
    )


def _put_points(services: PageServices, who: Visitor, told: Mapping[str, str]) -> None:
    sensor, now = _sensor(services, told), services.clock.now()
    _refuse_in_jar(services, sensor)
    quantity = read_quantity(told)
    first, second = read_points(told, quantity)
    line = line_through(quantity, first, second)
    made = _calibration(sensor, quantity, line, second.raw, by=who.name, at=now)
    words = f"references of {exact(first.reference, quantity)} and "
    services.calibrations.add(
        replace(made, method="two points", reference=words + exact(second.reference, quantity)),
        change=_change(sensor, made, who),
    )


def _start_trial(services: PageServices, who: Visitor, told: Mapping[str, str]) -> None:
    sensor, now = _sensor(services, told), services.clock.now()
    salt = read_salt(told)
    if all(one.quantity is not _RH for one in raw_values(services.readings, sensor, now)):
        raise InputError(f"{sensor.device} tells no humidity: a salt is nothing for it.")
    if alone := unwatched_without(sensor, services.settings):
        _refuse_during_alarm(services, sensor, alone)
    what = f"{sensor.device} was put into a jar above {salt}"
    services.calibrations.start_trial(
        sensor.device,
        salt.value,
        by=who.name,
        at=now,
        change=Change(at=now, by=who.name, what=what),
    )


def _take_trial(services: PageServices, who: Visitor, told: Mapping[str, str]) -> None:
    sensor, now = _sensor(services, told), services.clock.now()
    trials = services.calibrations.trials()
    trial = _open_trial(trials, sensor)
    ready = trial_now(
        services.readings, sensor, trial, now, read_warmth(told.get("warmth", ""))
    ).ready
    if ready is None or ready.measured_pct is None or ready.target_pct is None:
        raise InputError("It was not ready in the last two hours: nothing is taken from it.")
    point = Point(raw=ready.measured_pct, reference=ready.target_pct)
    earlier = line_with(trials, trial, now)
    other = point_of(earlier) if earlier is not None and told.get("how") == "line" else None
    if other is None:
        line, words = offset_through(_RH, point), trial.salt
    else:
        line = line_through(_RH, other, point)
        words = f"{earlier.salt if earlier else ''} and {trial.salt}"
    made = _calibration(sensor, _RH, line, point.raw, by=who.name, at=now)
    ended = replace(
        trial,
        ended_at=now,
        measured_pct=ready.measured_pct,
        target_pct=ready.target_pct,
        temperature_c=ready.temperature_c,
    )
    services.calibrations.end_trial(
        ended,
        calibration=replace(made, method="salt", reference=words),
        change=_change(sensor, made, who),
    )


def _give_up(services: PageServices, who: Visitor, told: Mapping[str, str]) -> None:
    sensor, now = _sensor(services, told), services.clock.now()
    trial = _open_trial(services.calibrations.trials(), sensor)
    what = f"The salt trial of {sensor.device} was given up"
    services.calibrations.end_trial(
        replace(trial, ended_at=now), change=Change(at=now, by=who.name, what=what)
    )


def _calibration(
    sensor: Sensor, quantity: Quantity, line: Line, raw: float, *, by: str | None, at: datetime
) -> Calibration:
    """In force from now on; its method and reference are told by who made it."""
    return Calibration(
        id=0,
        correction=Correction(
            device=sensor.device,
            quantity=quantity,
            since=at,
            slope=line.slope,
            offset=line.offset,
        ),
        method="",
        reference="",
        before=raw,
        after=line.at(raw),
        by=by,
        made_at=at,
    )


def _change(sensor: Sensor, made: Calibration, who: Visitor) -> Change:
    quantity = made.correction.quantity
    return Change(
        at=made.made_at,
        by=who.name,
        what=f"{sensor.device}: {quantity_words(quantity)} calibrated",
        before=exact(made.before, quantity),
        after=exact(made.after, quantity),
    )


def _seen(
    services: PageServices,
    sensor: Sensor,
    quantity: Quantity,
    told: Mapping[str, str],
) -> RawNow:
    """The value that stood on the page.

    Raises:
        InputError: it is too old by now, or can't be believed, or never was.
    """
    at = read_instant(told.get("read_at", ""))
    seen = (
        None
        if at is None
        else raw_value_of(services.readings, sensor, quantity, at, services.clock.now())
    )
    words = quantity_words(quantity)
    if seen is None:
        raise InputError(f"{sensor.device} has told no such {words} where it stands.")
    if not seen.fresh:
        raise InputError(
            f"The {words} of {sensor.device} that stood here is too old by now: look at it and "
            "at the reference again."
        )
    if not seen.believed:
        raise InputError(f"The {words} of {sensor.device} can't be: it is broken.")
    return seen


def _refuse_in_jar(services: PageServices, sensor: Sensor) -> None:
    if _trial_of(services.calibrations.trials(), sensor) is not None:
        raise InputError(f"{sensor.device} is in a salt jar: end that trial first.")


def _refuse_during_alarm(services: PageServices, sensor: Sensor, place: str) -> None:
    """No alarm is taken away by taking its sensor away."""
    limits = {limit.id for limit in services.settings.limits if limit.place == sensor.place}
    for alarm in services.alarms.open_alarms():
        if alarm.state.active and alarm.rule in limits:
            raise InputError(
                f"{place} is in alarm, and {sensor.device} is the only sensor there: it stays "
                "until that is over."
            )


def _trial_of(trials: Sequence[SaltTrial], sensor: Sensor) -> SaltTrial | None:
    return next(
        (one for one in trials if one.device == sensor.device and one.ended_at is None), None
    )


def _open_trial(trials: Sequence[SaltTrial], sensor: Sensor) -> SaltTrial:
    found = _trial_of(trials, sensor)
    if found is None:
        raise InputError(f"{sensor.device} is in no salt jar any more.")
    return found


def _sensor(services: PageServices, told: Mapping[str, str]) -> Sensor:
    device = told.get("device", "")
    for sensor in services.settings.sensors:
        if sensor.device == device:
            return sensor
    raise NotKnownError(f"No sensor {device[:64]!r} is set up.")


def _done(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    told: Mapping[str, str],
    do: Callable[[], None],
) -> Response:
    """What can't be done is told on the page, and what was typed stays there."""
    sensor = _sensor(services, told)
    try:
        do()
    except InputError as error:
        return _shown(request, services, wall, told, (str(error),))
    services.renew()
    return RedirectResponse(calibration_address(sensor.device), 303)


def _shown(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    told: Mapping[str, str],
    wrong: tuple[str, ...] = (),
) -> Response:
    sensor = _sensor(services, told)
    store, settings, now = services.readings, services.settings, services.clock.now()
    trials = services.calibrations.trials()
    open_one = _trial_of(trials, sensor)
    trial = None
    if open_one is not None:
        warmth = told.get("warmth", "")
        try:
            typed_c = read_warmth(warmth)
        except InputError as error:
            wrong, typed_c, warmth = wrong or (str(error),), None, ""
        trial = trial_view(
            open_one,
            trial_now(store, sensor, open_one, now, typed_c),
            line_with(trials, open_one, now),
            typed=warmth.strip(),
            now=now,
            zone=settings.site.timezone,
        )
    view = calibration_view(
        sensor,
        raw_values(store, sensor, now),
        services.calibrations.calibrations(),
        settings,
        now,
    )
    return setup_page(
        request,
        services,
        wall,
        template="calibration.html",
        title=f"Calibrate {view.name}",
        view=view,
        wrong=wrong,
        trial=trial,
        salts=salt_choices(),
        typed=told,
    )
