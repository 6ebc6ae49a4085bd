"""Signs a browser in and out: with a new secret each time, so a planted one is worth nothing."""

from fastapi import Request
from fastapi.responses import Response

from dashboards.cookies import COOKIE, KNOWN_COOKIE, LONGEST_S, SESSION_S, give
from dashboards.page_services import PageServices
from dashboards.signing_in import open_session
from service.people.digest import digest_of, new_secret
from service.people.known_browser import proof
from service.store.people_store import Person


def sign_in(request: Request, response: Response, services: PageServices, person: Person) -> None:
    """Open a session for this browser and end the one that it had."""
    services.people.close_session(digest_of(request.state.cookie))
    secret = open_session(services.people, person, services.clock.now())
    secure = request.state.secure
    give(response, COOKIE, secret, secure=secure, keep_s=SESSION_S)
    known = proof(person.password_hash)
    give(response, KNOWN_COOKIE, known, secure=secure, keep_s=LONGEST_S)


def sign_out(request: Request, response: Response, services: PageServices) -> None:
    """End the session of this browser."""
    services.people.close_session(digest_of(request.state.cookie))
    give(response, COOKIE, new_secret(), secure=request.state.secure)
