"""Who may talk to the pages: a list of own names, and no other site's forms.

A page from elsewhere can make a browser in the house ask this server. It can't choose the
Host that the browser names (so a foreign Host is refused), nor hide the Origin of a form (so
a foreign or missing Origin is refused wherever something is changed; browsers that send none
tell by Sec-Fetch-Site where a request comes from).
"""

import ipaddress
import re
from collections.abc import Callable, Iterable
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_READING = frozenset({"GET", "HEAD", "OPTIONS"})
_LARGEST_FORM = 64 * 1024
_AUTHORITY = re.compile(r"(\[[0-9A-Fa-f:.]+\]|[^\[\]/?#@\\:\s]+)(:[0-9]{0,5})?", re.ASCII)
"""A name and a port, and nothing more: an address is put together of it further on, and what
came behind the port would be taken for a part of the path (RFC 9110, 7.2; RFC 3986, 3.2)."""

POLICY = (
    "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
CHART_POLICY = POLICY + "; style-src 'self' 'unsafe-inline'"
"""The plotting library writes style elements; scripts stay as strict as elsewhere."""

HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


class Guards:
    """Wraps the whole application, so that no route can be forgotten.

    ``names`` are those under which the pages answer, as they are now. Besides them the address
    that a connection came in on is answered to: another site can't make a browser name it
    while connecting elsewhere, since a browser connects to the address that it names.
    """

    def __init__(self, app: ASGIApp, names: Callable[[], Iterable[str]]) -> None:
        self._app = app
        self._names = names

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await refusal(scope, receive, _with_headers(send))
            return
        await self._app(scope, receive, _with_headers(send))

    def _refusal(self, scope: Scope) -> PlainTextResponse | None:
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if not _AUTHORITY.fullmatch(host) or not self._is_ours(host_name(host), scope):
            return PlainTextResponse("This server does not answer to that name.", 400)
        if scope["method"] in _READING:
            return None
        if not _same_origin(headers, host):
            return PlainTextResponse("Refused: this did not come from our own pages.", 403)
        if not _is_small(headers):
            return PlainTextResponse("Refused: larger than any form of ours.", 413)
        return None

    def _is_ours(self, name: str, scope: Scope) -> bool:
        server = scope.get("server")
        if server is not None and name == as_host(str(server[0])):
            return True
        return name in {one.lower() for one in self._names()}


def host_name(host: str) -> str:
    """The name in a Host header, without its port; brackets of IPv6 stay."""
    if host.startswith("["):
        return host.partition("]")[0].lower() + "]"
    return host.partition(":")[0].lower()


def as_host(address: str) -> str | None:
    """An IP address as it stands in a Host header; None for what is no address."""
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return None
    if isinstance(found, ipaddress.IPv6Address):
        return str(found.ipv4_mapped) if found.ipv4_mapped else f"[{found}]"
    return str(found)


def _same_origin(headers: Headers, host: str) -> bool:
    """Whether a form comes from this very server. One that does not tell is not ours."""
    origin = headers.get("origin")
    if not origin:
        return headers.get("sec-fetch-site") == "same-origin"
    try:
        parts = urlsplit(origin)
    except ValueError:
        return False
    return parts.scheme in {"http", "https"} and parts.netloc.lower() == host.lower()


def _is_small(headers: Headers) -> bool:
    """Whether the form is told to be small and can't turn out larger.

    Where both are sent, Transfer-Encoding overrides Content-Length (RFC 9112, 6.3): what comes
    in chunks has no length, whatever it says. No browser sends a form in chunks.
    """
    length = headers.get("content-length", "")
    if "transfer-encoding" in headers or not (length.isascii() and length.isdigit()):
        return False
    return int(length) <= _LARGEST_FORM


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("cache-control", "no-cache")
        await send(message)

    return sending
