"""Who stands at the door: every request gets its visitor and its CSRF token here.

A form whose token is not right changes nothing. It is shown once more with what was written in
it, because whoever filled it in has come from a page of ours (the guards saw its origin) that
was open for too long; one more press sends it.
"""

import secrets
from collections.abc import Sequence

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from dashboards.csrf import FIELD, HEADER, csrf_field, csrf_token, is_token
from dashboards.templating import page
from service.people.role import Role, Visitor

COOKIE = "clutchweather"
_COOKIE_BYTES = 32
_READING = frozenset({"GET", "HEAD", "OPTIONS"})
_NEVER_SHOWN_AGAIN = ("password", "code")
"""What is secret is typed anew: it must not stand in a page."""

Fields = Sequence[tuple[str, str]]


class Doorway:
    """Wraps the application inside the guards, so that no route can be forgotten."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request = Request(scope, receive)
        kept = request.cookies.get(COOKIE, "")
        cookie = kept or new_cookie()
        token = csrf_token(cookie)
        request.state.cookie = cookie
        request.state.csrf_field = csrf_field(token)
        request.state.visitor = Visitor(role=Role.KEEPER)
        if not kept:
            send = _giving(cookie, send)
        if request.method in _READING:
            await self._app(scope, receive, send)
            return
        body = await request.body()
        fields = await form_fields(scope, body)
        sent = Headers(scope=scope).get(HEADER) or dict(fields).get(FIELD, "")
        if not is_token(sent, token):
            await held(request, fields, words=STALE)(scope, receive, send)
            return
        await self._app(scope, replaying(body, receive), send)


STALE = "This page was open for long, or you have signed in or out since. Nothing was saved yet."


def new_cookie() -> str:
    """32 random bytes, as text."""
    return secrets.token_urlsafe(_COOKIE_BYTES)


def held(request: Request, fields: Fields, *, words: str, status: int = 403) -> ASGIApp:
    """A page that has kept what was sent, but for secrets; one more press sends it."""
    sent = [(name, value) for name, value in fields if name != FIELD]
    shown = [
        (name, value)
        for name, value in sent
        if not any(secret in name for secret in _NEVER_SHOWN_AGAIN)
    ]
    return page(
        request,
        "held.html",
        status=status,
        title="Not saved yet",
        words=words,
        path=request.url.path,
        fields=shown,
        secret=len(shown) < len(sent),
    )


async def form_fields(scope: Scope, body: bytes) -> Fields:
    """The text fields of a form; none where the body is no form that can be read."""
    request = Request(scope, replaying(body, _nothing_more))
    try:
        form = await request.form(max_files=0, max_fields=300)
    except (HTTPException, ValueError):
        return ()
    return [(name, value) for name, value in form.multi_items() if isinstance(value, str)]


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


def _giving(cookie: str, send: Send) -> Send:
    """Give the cookie with a page; not with what pages fetch side by side, which would each
    give another.
    """

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            if headers.get("content-type", "").startswith("text/html"):
                headers.append("set-cookie", f"{COOKIE}={cookie}; HttpOnly; SameSite=Lax; Path=/")
        await send(message)

    return sending
