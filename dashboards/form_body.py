"""The body of a request, read before the application and told to it once more."""

from collections.abc import Sequence

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import Message, Receive, Scope

Fields = Sequence[tuple[str, str]]

MOST_FIELDS = 300


async def form_fields(scope: Scope, body: bytes) -> Fields:
    """The text fields of a form; none where the body is no form that can be read."""
    request = Request(scope, replaying(body, _nothing_more))
    try:
        form = await request.form(max_files=0, max_fields=MOST_FIELDS)
    except (HTTPException, ValueError):
        return ()
    return [(name, value) for name, value in form.multi_items() if isinstance(value, str)]


def field(fields: Fields, name: str) -> str:
    """The first field of that name; empty where there is none."""
    return next((value for key, value in fields if key == name), "")


def replaying(body: bytes, receive: Receive) -> Receive:
    """What the application receives once its body has been read by us."""
    told = False

    async def receiving() -> Message:
        nonlocal told
        if told:
            return await receive()
        told = True
        return {"type": "http.request", "body": body, "more_body": False}

    return receiving


async def _nothing_more() -> Message:
    return {"type": "http.disconnect"}
