"""Who stands at the door: every request gets its visitor here, and is let in or refused.

It stands around the whole application, inside the guards, so no route can be forgotten. In this
order: a form needs the token of its browser; before the first keeper only this machine is
answered; then the table of ``access.py`` decides; and what lets others in asks for the
password again when the sign-in is older than a quarter of an hour.
"""

from dataclasses import dataclass

from markupsafe import Markup
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from dashboards import refusals
from dashboards.access import (
    FIRST_STEP,
    READING,
    is_sensitive,
    least_for,
    may,
    needs_a_keeper,
)
from dashboards.cookies import COOKIE, LONGEST_S, WALL_COOKIE, give, is_ours
from dashboards.csrf import FIELD, HEADER, csrf_field, csrf_token, is_token
from dashboards.form_body import Fields, field, form_fields, replaying
from dashboards.page_services import PageServices
from dashboards.refusals import AGAIN
from dashboards.signing_in import SignIn, Wait
from dashboards.visitors import Arrived, arrived, is_here
from dashboards.waiting_words import wait_words
from service.errors import StoreUnavailableError
from service.people.digest import digest_of, new_secret
from service.people.session_times import is_fresh

_AGAIN_FIELD = Markup(
    '<label class="field">Your own password, once more<input type="password" name="{}" '
    'autocomplete="current-password" required></label>'
).format(AGAIN)

_OPEN_WITH_A_ONE_TIME_PASSWORD = ("/password", "/logout")


class Doorway:
    """Wraps the application."""

    def __init__(self, app: ASGIApp, services: PageServices, sign_in: SignIn) -> None:
        self._app = app
        self._services = services
        self._sign_in = sign_in

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request = Request(scope, receive)
        shown = _Shown.by(request)
        state = request.state
        state.csrf_field, state.again_field, state.visitor = shown.field, "", None
        state.cookie, state.secure = shown.cookie, scope["scheme"] == "https"
        sending = send if shown.kept else _giving(shown.cookie, send, secure=state.secure)
        try:
            came = await run_in_threadpool(self._arrived, shown)
            self._tell(request, shown, came)
            answer, told = await self._answer(request, shown, came)
        except StoreUnavailableError as error:
            words = f"Who you are can't be told just now: {error}. Try again in a moment."
            answer, told = PlainTextResponse(words, 503), receive
        except ClientDisconnect:
            return
        await (self._app if answer is None else answer)(scope, told, sending)

    def _arrived(self, shown: "_Shown") -> Arrived:
        return arrived(
            self._services.people,
            cookie=shown.cookie if shown.kept else "",
            wall_cookie=shown.wall_cookie,
            here=is_here(shown.address),
            now=self._services.clock.now(),
        )

    def _tell(self, request: Request, shown: "_Shown", came: Arrived) -> None:
        """What routes and templates learn of the visitor."""
        least = least_for(request.method, request.scope["path"])

        def holds() -> bool:
            visitor = self._arrived(shown).visitor
            return may(visitor.role if visitor else None, least)

        request.state.visitor = came.visitor
        request.state.arrived = came
        request.state.holds = holds
        now = self._services.clock.now()
        if came.session is not None and not is_fresh(came.session.made_at, now):
            request.state.again_field = _AGAIN_FIELD

    async def _answer(
        self, request: Request, shown: "_Shown", came: Arrived
    ) -> tuple[Response | None, Receive]:
        """The refusal, if there is one, and what the application shall receive otherwise."""
        if request.method in READING:
            return await self._reading(request, shown, came), request.receive
        if not came.has_keeper and not is_here(shown.address):
            return refusals.elsewhere(), request.receive
        body = await request.body()
        fields = await form_fields(request.scope, body)
        sent = Headers(scope=request.scope).get(HEADER) or field(fields, FIELD)
        if not is_token(sent, csrf_token(shown.cookie)):
            return refusals.held(request, fields, words=refusals.STALE), request.receive
        refusal = _refusal(request, came, fields)
        if refusal is None and is_sensitive(request.method, request.scope["path"]):
            refusal = await self._asked_again(request, came, fields)
        return refusal, replaying(body, request.receive)

    async def _reading(self, request: Request, shown: "_Shown", came: Arrived) -> Response | None:
        if not came.has_keeper and not is_here(shown.address):
            return refusals.elsewhere()
        token = request.query_params.get("token") if request.scope["path"] == "/wall" else None
        if token is not None and came.has_keeper:
            return await run_in_threadpool(self._wall, request, token)
        return _refusal(request, came, ())

    def _wall(self, request: Request, token: str) -> Response:
        """A tablet shows its token once; it is kept as a cookie and leaves the address."""
        if self._services.people.wall_token(digest_of(token)) is None:
            return refusals.bad_token(request)
        answer = RedirectResponse("/wall", 303)
        give(answer, WALL_COOKIE, token, secure=request.state.secure, keep_s=LONGEST_S)
        return answer

    async def _asked_again(
        self, request: Request, came: Arrived, fields: Fields
    ) -> Response | None:
        now = self._services.clock.now()
        person, session = came.person, came.session
        if person is None or session is None or is_fresh(session.made_at, now):
            return None
        given = field(fields, AGAIN)
        if not given:
            words = refusals.ASK_AGAIN
            return refusals.held(request, fields, words=words, ask_again=True)
        people = self._services.people
        found = await run_in_threadpool(self._sign_in.try_again, people, person, given)
        if isinstance(found, Wait):
            words = f"Too many wrong passwords. Try again {wait_words(found.seconds)}."
            return refusals.held(request, fields, words=words, status=429, ask_again=True)
        if found is None:
            words = "That is not your password. Nothing was changed."
            return refusals.held(request, fields, words=words, ask_again=True)
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shown:
    """What a request shows of itself. ``kept``: its browser had a cookie of ours already."""

    cookie: str
    kept: bool
    wall_cookie: str
    address: str

    @classmethod
    def by(cls, request: Request) -> "_Shown":
        cookie = request.cookies.get(COOKIE, "")
        kept = is_ours(cookie)
        wall_cookie = request.cookies.get(WALL_COOKIE, "")
        return cls(
            cookie=cookie if kept else new_secret(),
            kept=kept,
            wall_cookie=wall_cookie if is_ours(wall_cookie) else "",
            address=request.client.host if request.client else "",
        )

    @property
    def field(self) -> Markup:
        """The hidden input for forms."""
        return csrf_field(csrf_token(self.cookie))


def _refusal(request: Request, came: Arrived, fields: Fields) -> Response | None:
    method, path = request.method, request.scope["path"]
    if path == FIRST_STEP and came.has_keeper:
        return refusals.no_such_page(request)
    if not came.has_keeper:
        return refusals.no_keeper_yet(request) if needs_a_keeper(method, path) else None
    least = least_for(method, path)
    if not may(came.visitor.role if came.visitor else None, least):
        return refusals.refused(request, came.visitor, least, fields)
    held_back = came.person is not None and came.person.one_time_until is not None
    if held_back and least > 0 and path not in _OPEN_WITH_A_ONE_TIME_PASSWORD:
        return refusals.one_time(request)
    return None


def _giving(cookie: str, send: Send, *, secure: bool) -> Send:
    """Give the cookie with a page; not with what pages fetch side by side, which would each
    give another.
    """

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            given = any(one.startswith(f"{COOKIE}=") for one in headers.getlist("set-cookie"))
            if headers.get("content-type", "").startswith("text/html") and not given:
                made = Response()
                give(made, COOKIE, cookie, secure=secure)
                headers.append("set-cookie", made.headers["set-cookie"])
        await send(message)

    return sending
