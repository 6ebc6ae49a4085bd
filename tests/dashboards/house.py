"""Visitors of a shed that has a keeper: nobody, a wall, a helper, the keeper."""

from fastapi import FastAPI

from dashboards.app import create_app
from dashboards.cookies import COOKIE, WALL_COOKIE
from dashboards.csrf import HEADER, csrf_token
from dashboards.signing_in import open_session
from service.people.digest import digest_of, new_secret
from service.people.passwords import password_hash
from service.people.role import Role
from service.store.people_store import Person
from tests.dashboards.conftest import TestClient
from tests.dashboards.filled_shed import FilledShed

PHONE = ("192.168.1.7", 50000)
PASSWORD = "a few good words"
DOMAIN = "testserver.local"
"""What the client's cookie jar makes of a name without a dot: so ours replace one another."""


def person(shed: FilledShed, name: str, role: Role, password: str = PASSWORD) -> Person:
    """Somebody with a password that is really hashed."""
    return shed.records.people.add(name, role, password_hash(password), shed.clock.now())


def people_of(shed: FilledShed) -> tuple[Person, Person]:
    """Mara, the keeper, and Jo, a helper."""
    return person(shed, "Mara", Role.KEEPER), person(shed, "Jo", Role.HELPER)


def browser(
    shed: FilledShed, address: tuple[str, int] = PHONE, app: FastAPI | None = None
) -> TestClient:
    """A browser of the house that has shown nothing yet; it follows no redirect by itself.

    Several may ask one ``app``, as they do in a shed.
    """
    return TestClient(
        app or create_app(shed.services()),
        base_url="http://testserver",
        headers={"origin": "http://testserver"},
        follow_redirects=False,
        client=address,
    )


def sign_in(client: TestClient, shed: FilledShed, who: Person) -> TestClient:
    """Give the browser a session of that person, and the token that belongs to it."""
    secret = open_session(shed.records.people, who, shed.clock.now())
    client.cookies.set(COOKIE, secret, domain=DOMAIN)
    client.headers[HEADER] = csrf_token(secret)
    return client


def with_token(client: TestClient) -> TestClient:
    """A browser that has nobody's session, and the right token of its own cookie."""
    secret = new_secret()
    client.cookies.set(COOKIE, secret, domain=DOMAIN)
    client.headers[HEADER] = csrf_token(secret)
    return client


def as_wall(client: TestClient, shed: FilledShed, name: str = "Tablet") -> TestClient:
    """A tablet whose token holds."""
    token = new_secret()
    shed.records.people.add_wall_token(name, digest_of(token), by="Mara", at=shed.clock.now())
    client.cookies.set(WALL_COOKIE, token, domain=DOMAIN)
    return with_token(client)


def password_form(**changed: str) -> dict[str, str]:
    """What the form for a password of one's own sends."""
    sent = {
        "old_password": PASSWORD,
        "new_password": "some other good words",
        "new_password_again": "some other good words",
    }
    return sent | changed
