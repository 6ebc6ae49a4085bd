"""Passwords as the pages ask for them: slowed, compared, and never told apart by time."""

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime

from dashboards.visitors import is_here
from service.people.digest import digest_of, new_secret
from service.people.known_browser import proven
from service.people.names import same_name
from service.people.passwords import is_outdated, is_password, password_hash
from service.people.session_times import ends_at
from service.people.tries import Lane, LaneKind, Tries, address_key, ask, right
from service.store.people_store import PeopleStore, Person, Session


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """No password was looked at; try again after so long [s]."""

    seconds: float


class SignIn:
    """One of these in a process: it remembers how often was tried."""

    def __init__(self, monotonic: Callable[[], float] = time.monotonic) -> None:
        self._monotonic = monotonic
        self._lock = threading.Lock()
        self._tries = Tries()

    def try_password(
        self, people: PeopleStore, name: str, password: str, *, address: str, proof: str
    ) -> Person | Wait | None:
        """The person of that name if the password is theirs; None if not.

        ``proof`` is what a browser that has signed in before carries. Takes the same time
        whether or not there is such a person. Called in a worker thread.
        """
        person = _here(people.people(), name)
        lane = _lane(person, address, proof)
        return self._tried(lane, people, person, password)

    def try_again(self, people: PeopleStore, person: Person, password: str) -> Person | Wait | None:
        """The same for somebody who has signed in and is asked once more."""
        lane = Lane(kind=LaneKind.KNOWN, key="signed in", person=person.id)
        return self._tried(lane, people, person, password)

    def _tried(
        self, lane: Lane, people: PeopleStore, person: Person | None, password: str
    ) -> Person | Wait | None:
        with self._lock:
            asked = ask(self._tries, lane, self._monotonic())
            self._tries = asked.tries
        if asked.wait_s > 0:
            return Wait(seconds=asked.wait_s)
        if not is_password(person.password_hash if person else None, password) or person is None:
            return None
        with self._lock:
            self._tries = right(self._tries, lane)
        if is_outdated(person.password_hash):
            people.renew_hash(person.id, person.password_hash, password_hash(password))
        return person


def open_session(people: PeopleStore, person: Person, now: datetime) -> str:
    """A new session; returns the secret for the cookie, which is kept nowhere."""
    secret = new_secret()
    people.open_session(
        Session(
            digest=digest_of(secret),
            person_id=person.id,
            made_at=now,
            seen_at=now,
            ends_at=ends_at(now, now),
        )
    )
    return secret


def _here(people: Sequence[Person], name: str) -> Person | None:
    return next((one for one in people if one.left_at is None and same_name(one.name, name)), None)


def _lane(person: Person | None, address: str, proof: str) -> Lane:
    if is_here(address):
        return Lane(kind=LaneKind.HERE)
    browser = proven(proof, person.password_hash if person else None)
    if person is not None and browser is not None:
        return Lane(kind=LaneKind.KNOWN, key=f"browser {browser}", person=person.id)
    return Lane(kind=LaneKind.STRANGER, key=address_key(address))
