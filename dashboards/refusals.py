"""What somebody is told who may not: a plain sentence, and the way on where there is one."""

from urllib.parse import quote

from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from dashboards.access import FIRST_STEP, READING, Least, is_page
from dashboards.csrf import FIELD
from dashboards.form_body import Fields
from dashboards.templating import page
from service.people.role import Role, Visitor

AGAIN = "your_password"
"""The field in which somebody who has signed in gives the password once more."""

STALE = "This page was open for long, or you have signed in or out since. Nothing was saved yet."
SIGNED_OUT = "You are not signed in any more. Nothing was saved yet."
ASK_AGAIN = (
    "This lets somebody in, or keeps somebody out, and it is a while since you signed in: "
    "your own password is asked once more. Nothing was changed yet."
)
ELSEWHERE = (
    "There is no keeper yet, so these pages answer on the machine itself only. Make the first "
    "keeper there; then phones can be let in."
)
NO_KEEPER = "There is no keeper yet. Make the first one; then this can be changed."

_SECRETS = ("password", "code")
"""What is secret is typed anew: it must not stand in a page."""


def elsewhere() -> Response:
    """Before there is a keeper, for somebody who is not at the machine."""
    return PlainTextResponse(ELSEWHERE, 403)


def no_keeper_yet(request: Request) -> Response:
    """For what waits until there is a first keeper."""
    if request.method in READING:
        return RedirectResponse(FIRST_STEP, 303)
    return _sentence(request, NO_KEEPER, 403)


def no_such_page(request: Request) -> Response:
    """The first step, once there is a keeper: it is not there any more, for anybody."""
    return _sentence(request, "There is no such page (any more).", 404)


def one_time(request: Request) -> Response:
    """For whoever has come in with a password that the keeper made."""
    if request.method in READING and is_page(request.scope["path"]):
        return RedirectResponse("/password", 303)
    return _sentence(request, "First replace the one-time password by one of your own.", 403)


def refused(
    request: Request, visitor: Visitor | None, least: Least, fields: Fields = ()
) -> Response:
    """For somebody who is not enough. What they had written is held where they may come back."""
    reading, path = request.method in READING, request.scope["path"]
    if visitor is not None and visitor.role is Role.HELPER:
        return _sentence(request, "This is the keeper's: a helper can't open or change it.", 403)
    if reading and is_page(path) and request.method != "OPTIONS":
        query = f"?{request.url.query}" if request.url.query else ""
        return RedirectResponse(f"/login?next={quote(path + query, safe='')}", 303)
    if visitor is not None:
        return _sentence(request, "This tablet may show the wall, and nothing else.", 403)
    if reading or not fields or least is Least.ANYONE:
        return _sentence(request, "Sign in first.", 401)
    return held(request, fields, words=SIGNED_OUT, status=401, sign_in=True)


def bad_token(request: Request) -> Response:
    """For a tablet whose token opens nothing."""
    words = (
        "This address opens no wall (any more). The keeper can make a new one on the page "
        "Tablets on the wall."
    )
    return _sentence(request, words, 403)


def held(
    request: Request,
    fields: Fields,
    *,
    words: str,
    status: int = 403,
    sign_in: bool = False,
    ask_again: bool = False,
) -> Response:
    """A page that has kept what was sent, but for secrets; one more press sends it.

    ``sign_in``: that must be done first, in another page. ``ask_again``: the password is asked.
    """
    sent = [(name, value) for name, value in fields if name not in {FIELD, AGAIN}]
    shown = [
        (name, value) for name, value in sent if not any(secret in name for secret in _SECRETS)
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
        sign_in=sign_in,
        ask_again=ask_again,
    )


def _sentence(request: Request, words: str, status: int) -> Response:
    if not is_page(request.scope["path"]):
        return PlainTextResponse(words, status)
    return page(request, "error.html", status=status, title="Not for you", words=words)
