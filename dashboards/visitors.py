"""From the cookies of a request to the visitor who sent it."""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from ipaddress import ip_address

from service.errors import StoreUnavailableError
from service.people.digest import digest_of
from service.people.role import Role, Visitor
from service.people.session_times import (
    WALL_NOTED_EVERY,
    ends_at,
    is_to_be_noted,
)
from service.store.people_store import PeopleStore, Person, Session

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrived:
    """``visitor`` is None for somebody who has shown nothing that holds.

    ``person`` and ``session`` are those of somebody who has signed in.
    """

    has_keeper: bool
    visitor: Visitor | None = None
    person: Person | None = None
    session: Session | None = None


def arrived(
    people: PeopleStore, *, cookie: str, wall_cookie: str, here: bool, now: datetime
) -> Arrived:
    """Who shows these cookies at ``now``. ``here``: asked from this machine itself.

    Raises:
        StoreUnavailableError: the records can't be read.
    """
    if not people.has_keeper():
        return Arrived(has_keeper=False, visitor=Visitor(role=Role.KEEPER) if here else None)
    found = people.session(digest_of(cookie), now) if cookie else None
    if found is not None:
        session, person = found
        _note_session(people, session, now)
        visitor = Visitor(role=person.role, name=person.name)
        return Arrived(has_keeper=True, visitor=visitor, person=person, session=session)
    token = people.wall_token(digest_of(wall_cookie)) if wall_cookie else None
    if token is None:
        return Arrived(has_keeper=True)
    if token.seen_at is None or abs(now - token.seen_at) >= WALL_NOTED_EVERY:
        _noted(lambda: people.wall_seen(token.id, now))
    return Arrived(has_keeper=True, visitor=Visitor(role=Role.WALL, name=token.name))


def is_here(address: str) -> bool:
    """Whether an address of a client is this machine's own."""
    try:
        found = ip_address(address.partition("%")[0])
    except ValueError:
        return False
    return (getattr(found, "ipv4_mapped", None) or found).is_loopback


def _note_session(people: PeopleStore, session: Session, now: datetime) -> None:
    if is_to_be_noted(session.seen_at, now):
        end = ends_at(session.made_at, now)
        _noted(lambda: people.seen(session.digest, now, end))


def _noted(note: Callable[[], None]) -> None:
    """A page is shown even when its use can't be noted."""
    try:
        note()
    except StoreUnavailableError as error:
        log.warning("that somebody was here is not noted: %s", error)
