"""What could not be used: why, and trying again."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import RedirectResponse, Response

from dashboards.dependencies import Services, Wall, Who
from dashboards.letters import letter_with, mark_of, retry_letters
from dashboards.page_services import PageServices
from dashboards.setup_frame import setup_page
from dashboards.views.letters_view import MOST_SHOWN, letter_view, letters_view
from devices.formats.json_leaves import suggest
from service.errors import NotKnownError

router = APIRouter()

Asked = Annotated[int | None, Query(ge=1, le=2**53)]


@router.get("/sensors/letters")
def letters(request: Request, services: Services, wall: Wall, asked: Asked = None) -> Response:
    store = services.readings
    view = letters_view(
        store.dead_letters(MOST_SHOWN),
        kept=store.dead_letters_kept(),
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
    found = letter_with(services.readings.dead_letters(), mark)
    heard = tuple(one.topic for one in services.readings.overheard())
    view = letter_view(
        found,
        mark,
        suggest(found.topic, found.payload, beside=heard),
        services.settings,
        services.clock.now(),
    )
    return setup_page(request, services, wall, template="letter.html", title="Try again", view=view)


@router.post("/sensors/letters/{mark}")
def try_again(mark: str, services: Services, who: Who) -> Response:
    found = letter_with(services.readings.dead_letters(), mark)
    asked = retry_letters(services, who, found.topic)
    return RedirectResponse(f"/sensors/letters?asked={asked}", 303)


def _outcome(services: PageServices, asked: int | None) -> str:
    """What came of the last try, in words; empty where none was asked for."""
    if asked is None:
        return ""
    try:
        told = services.requests.outcome(asked)
    except NotKnownError:
        return ""
    return told or "Asked. In a moment it is told here what came of it."
