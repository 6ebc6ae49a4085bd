"""What could not be used: why, and trying again."""

from collections.abc import Mapping
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import FormData

from dashboards.answers import change
from dashboards.dependencies import Services, Wall, Who, read_form
from dashboards.form_text import text_of
from dashboards.letters import letter_with, mark_of, retry_letters
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.letters_view import feed_again, letter_view, letters_view
from dashboards.wall_watch import WallWatch
from devices.formats.json_leaves import suggest
from service.errors import ConfigurationError, NotKnownError
from service.settings import edits

router = APIRouter()

Form = Annotated[FormData, Depends(read_form)]


@router.get("/sensors/letters")
def letters(request: Request, services: Services, wall: Wall, asked: int | None = None) -> Response:
    store = services.readings
    view = letters_view(
        store.dead_letters(),
        mark=mark_of,
        dropped=store.dead_letters_dropped(),
        outcome=_outcome(services, asked),
        now=services.clock.now(),
        zone=services.settings.site.timezone,
    )
    return setup_page(
        request,
        services,
        wall,
        template="letters.html",
        title="What could not be used",
        view=view,
    )


@router.get("/sensors/letters/{mark}")
def letter(request: Request, mark: str, services: Services, wall: Wall) -> Response:
    return _one(request, services, wall, mark=mark, form={})


@router.post("/sensors/letters/{mark}")
def try_again(
    request: Request, mark: str, services: Services, wall: Wall, *, who: Who, form: Form
) -> Response:
    told = text_of(form)
    found = letter_with(services.readings.dead_letters(), mark)
    try:
        feed = feed_again(found, told, services.settings)
    except ConfigurationError as error:
        return _one(request, services, wall, mark=mark, form=told, wrong=error.faults)
    if feed is not None:
        wrong = change(services, who, lambda: edits.describe_feed(feed))
        if wrong:
            return _one(request, services, wall, mark=mark, form=told, wrong=wrong)
    asked = retry_letters(services, who, str(feed["topic"]) if feed else found.topic)
    return RedirectResponse(f"/sensors/letters?asked={asked or ''}", 303)


def _outcome(services: PageServices, asked: int | None) -> str:
    """What came of the last try, in words; empty where none was asked for."""
    if asked is None:
        return ""
    try:
        told = services.requests.outcome(asked)
    except NotKnownError:
        return ""
    return told or "Asked. In a moment it is told here what came of it."


def _one(
    request: Request,
    services: PageServices,
    wall: WallWatch,
    *,
    mark: str,
    form: Mapping[str, str],
    wrong: tuple[str, ...] = (),
) -> Response:
    found = letter_with(services.readings.dead_letters(), mark)
    heard = tuple(one.topic for one in services.readings.overheard())
    view = letter_view(
        found,
        mark,
        suggest(found.topic, found.payload, beside=heard),
        services.settings,
        form=form,
        now=services.clock.now(),
    )
    return setup_page(
        request,
        services,
        wall,
        template="letter.html",
        title="Try again",
        view=view,
        wrong=wrong,
    )
