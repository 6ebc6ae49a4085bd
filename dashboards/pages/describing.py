"""A message of an unknown kind: the keeper says which value is what, and where it stands."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import change
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.letters import letter_with, retry_letters
from dashboards.page_services import PageServices
from dashboards.pages.adopting import sensor_address
from dashboards.setup_frame import setup_page
from dashboards.views.adoption import (
    AdoptionView,
    adoption_edit,
    adoption_view,
    ago,
    own_quantity,
)
from dashboards.views.description import (
    DescriptionView,
    beside,
    described,
    description_view,
    preview,
    why_not_here,
)
from dashboards.views.sensors_view import payload_in_words
from dashboards.wall_watch import WallWatch
from devices.formats.json_leaves import MessageReading, suggest
from service.errors import ConfigurationError, NotKnownError
from service.settings import edits
from service.settings.editing import Edit, both
from service.store.reading_store import Overheard, Stranger

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]


@dataclass(frozen=True, slots=True, kw_only=True)
class MessageView:
    """One message, what is asked about it, and where its sender is to stand.

    ``adoption`` is None where the sender has a place already, or is not told yet.
    """

    topic: str
    letter: str
    payload: str
    heard: str
    description: DescriptionView
    adoption: AdoptionView | None
    has_place: str


@router.get("/sensors/describe")
def describe(
    request: Request, services: Services, wall: Wall, topic: str = "", letter: str = ""
) -> Response:
    return _asked(request, services, wall, {"topic": topic, "letter": letter})


@router.post("/sensors/describe")
def put_described(
    request: Request, services: Services, wall: Wall, who: Who, form: Form
) -> Response:
    told = text_of(form)
    if told.get("act") != "save":
        return _asked(request, services, wall, told)
    message = _message(services, told)
    try:
        device, edit = _edit(services, message, told)
    except ConfigurationError as error:
        return _asked(request, services, wall, told, error.faults)
    wrong = change(services, who, lambda: edit)
    if wrong:
        return _asked(request, services, wall, told, wrong)
    retry_letters(services, who, told.get("filter") or message.topic)
    return RedirectResponse(sensor_address(device) + "&set_up=yes", 303)


def _message(services: PageServices, form: Mapping[str, str]) -> Overheard:
    """The message that is described: a dead letter, or the newest under a topic."""
    if form.get("letter"):
        found = letter_with(services.readings.dead_letters(), form["letter"])
        return Overheard(
            topic=found.topic,
            payload=found.payload,
            reason=found.reason,
            at=found.at,
            count=found.count,
        )
    topic = form.get("topic", "")
    for one in services.readings.overheard():
        if one.topic == topic:
            return one
    raise NotKnownError(f"Nothing is kept that was said under {topic[:120]!r}.")


def _suggested(services: PageServices, message: Overheard) -> MessageReading:
    return suggest(message.topic, message.payload, beside=_others(services))


def _others(services: PageServices) -> tuple[str, ...]:
    heard = (one.topic for one in services.readings.overheard())
    return tuple(dict.fromkeys((*heard, *(o.topic for o in services.readings.strangers()))))


def _edit(services: PageServices, message: Overheard, form: Mapping[str, str]) -> tuple[str, Edit]:
    """The sender, and all that was answered as one edit."""
    settings = services.settings
    stands = why_not_here(message.topic, settings)
    if stands:
        raise ConfigurationError([stands])
    told = _suggested(services, message)
    found = described(told, form, settings)
    read = preview(found, told, message.payload, services.clock.now())
    if not read.measurements or not read.device:
        raise ConfigurationError(read.faults or ["Nothing would be read of this message."])
    feed = edits.describe_feed(found.table)
    if any(sensor.device == read.device for sensor in settings.sensors):
        return read.device, feed
    measures = [one.measure for one in read.measurements if own_quantity(one.measure) is None]
    return read.device, both(feed, adoption_edit(read.device, form, measures, settings))


def _asked(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    form: Mapping[str, str],
    wrong: tuple[str, ...] = (),
) -> Response:
    message = _message(services, form)
    view = _view(services, wall, message, form)
    return setup_page(
        request,
        services,
        wall,
        template="describe.html",
        title="What does it say?",
        view=view,
        wrong=wrong,
    )


def _view(
    services: PageServices, wall: WallWatch, message: Overheard, form: Mapping[str, str]
) -> MessageView:
    settings, now = services.settings, services.clock.now()
    told = _suggested(services, message)
    # Until something was chosen, what is suggested holds.
    chosen = form if "act" in form else {}
    description = description_view(
        told,
        message.payload,
        settings,
        heard_like_it=beside(message.topic, _others(services)),
        form=chosen,
        now=now,
    )
    device = description.preview.device
    known = next((one for one in settings.sensors if one.device == device), None)
    names = {place.id: place.name for place in settings.places}
    return MessageView(
        topic=message.topic,
        letter=form.get("letter", ""),
        payload=payload_in_words(message.payload, 2000),
        heard=ago(message.at, now),
        description=description,
        adoption=None
        if known is not None
        else adoption_view(
            device,
            _as_strangers(description, message),
            settings,
            heard_every=wall.arrivals.of_topic(message.topic),
            form=_adopting(chosen, device),
            now=now,
        ),
        has_place="" if known is None else names.get(known.place, known.place),
    )


def _adopting(form: Mapping[str, str], device: str) -> Mapping[str, str]:
    """The name follows the sender until somebody typed another."""
    if form.get("name", "") in {"", form.get("named", "")}:
        return {**form, "name": device}
    return form


def _as_strangers(description: DescriptionView, message: Overheard) -> list[Stranger]:
    return [
        Stranger(
            device=one.device,
            measure=one.measure,
            topic=message.topic,
            value=one.value,
            unit=one.unit,
            at=message.at,
        )
        for one in description.preview.measurements
    ]
