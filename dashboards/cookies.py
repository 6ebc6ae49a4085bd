"""The cookies that are given: none can be read by a script, none is sent at another site's asking.

``SameSite=Lax`` and ``HttpOnly`` as in RFC 6265bis; ``Secure`` where the pages are served over
TLS, since over plain http a browser would drop such a cookie.
"""

from re import compile as pattern

from starlette.responses import Response

COOKIE = "clutchweather"
"""32 random bytes. Whoever has signed in is known by it; a form's token is derived from it."""

WALL_COOKIE = "clutchweather_wall"
KNOWN_COOKIE = "clutchweather_known"

SESSION_S = 90 * 24 * 3600
LONGEST_S = 400 * 24 * 3600
"""RFC 6265bis lets no browser keep a cookie for longer."""

_OURS = pattern(r"[A-Za-z0-9_-]{43}")


def is_ours(cookie: str) -> bool:
    """Whether it has the form of what we give: 32 bytes, base64url."""
    return _OURS.fullmatch(cookie) is not None


def give(
    response: Response, name: str, value: str, *, secure: bool, keep_s: int | None = None
) -> None:
    """Give a cookie with a response; without ``keep_s`` until the browser is closed."""
    response.set_cookie(
        name, value, max_age=keep_s, path="/", secure=secure, httponly=True, samesite="lax"
    )


def take_back(response: Response, name: str) -> None:
    """Ask the browser to forget a cookie."""
    response.delete_cookie(name, path="/", httponly=True, samesite="lax")
