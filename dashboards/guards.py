"""Who may talk to the pages: a list of own names, and no other site's forms.

A page from elsewhere can make a browser in the house ask this server. It can't choose the
Host that the browser names (so a foreign Host is refused), nor hide the Origin of a form (so
a foreign or missing Origin is refused wherever something is changed).
"""

from collections.abc import Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_READING = frozenset({"GET", "HEAD", "OPTIONS"})
_LARGEST_FORM = 64 * 1024

POLICY = (
    "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
CHART_POLICY = POLICY + "; style-src 'self' 'unsafe-inline'"
"""The plotting library writes style elements; scripts stay as strict as elsewhere."""

_HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


class Guards:
    """Wraps the whole application, so that no route can be forgotten."""

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        self._app = app
        self._hosts = frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        refusal = self._refusal(scope["method"], Headers(scope=scope))
        if refusal is not None:
            await refusal(scope, receive, _with_headers(send))
            return
        await self._app(scope, receive, _with_headers(send))

    def _refusal(self, method: str, headers: Headers) -> PlainTextResponse | None:
        host = headers.get("host", "")
        if host_name(host) not in self._hosts:
            return PlainTextResponse("This server does not answer to that name.", 400)
        if method in _READING:
            return None
        if not _same_origin(headers.get("origin"), host):
            return PlainTextResponse("Refused: this did not come from our own pages.", 403)
        length = headers.get("content-length", "")
        if not length.isdigit() or int(length) > _LARGEST_FORM:
            return PlainTextResponse("Refused: larger than any form of ours.", 413)
        return None


def host_name(host: str) -> str:
    """The name in a Host header, without its port; brackets of IPv6 stay."""
    if host.startswith("["):
        return host.partition("]")[0].lower() + "]"
    return host.partition(":")[0].lower()


def _same_origin(origin: str | None, host: str) -> bool:
    """Whether the Origin is this very server. No Origin is not ours: browsers tell it."""
    if not origin:
        return False
    parts = urlsplit(origin)
    return parts.scheme in {"http", "https"} and parts.netloc.lower() == host.lower()


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in _HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("cache-control", "no-cache")
        await send(message)

    return sending
