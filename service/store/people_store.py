"""What may be asked of the store of people, their sessions, and the tokens of walls.

Secrets are never kept: a password only as its argon2 hash, a session, token or one-time code
only as its SHA-256 digest in hexadecimal.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from service.people.role import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody with a password. ``left_at`` is set once they may come in no more.

    ``one_time_until`` is set while the password is one that the keeper has made for them: it
    opens nothing after that moment, and must be replaced by one of their own before anything
    else.
    """

    id: int
    name: str
    role: Role
    password_hash: str
    made_at: datetime
    left_at: datetime | None = None
    one_time_until: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """A browser that somebody has signed in with."""

    digest: str
    person_id: int
    made_at: datetime
    seen_at: datetime
    ends_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class WallToken:
    """The right of one tablet to show the wall."""

    id: int
    name: str
    digest: str
    made_at: datetime
    made_by: str | None
    revoked_at: datetime | None = None
    seen_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstCode:
    """The one-time code for the first keeper. ``tries`` are wrong codes so far."""

    digest: str
    made_at: datetime
    tries: int
    used_at: datetime | None = None


class PeopleStore(Protocol):
    """Every writing method is one transaction; StoreUnavailableError leaves all as it was."""

    def people(self) -> Sequence[Person]:
        """All who may come in, and those who may no more, by id."""
        ...

    def has_keeper(self) -> bool:
        """Whether somebody with the role keeper may come in."""
        ...

    def put_first_code(self, digest: str, at: datetime) -> None:
        """Replace the one-time code; there is one at a time. Nothing once a keeper exists."""
        ...

    def first_code(self) -> FirstCode | None:
        """The one-time code that holds now."""
        ...

    def wrong_first_code(self) -> int:
        """Count a wrong code; return how many there were."""
        ...

    def add_first_keeper(self, name: str, password_hash: str, digest: str, at: datetime) -> Person:
        """Make the first keeper and use the code up, in one transaction.

        Raises:
            InputError: there is a keeper already, or the code is not the one that holds.
        """
        ...

    def add(
        self,
        name: str,
        role: Role,
        password_hash: str,
        at: datetime,
        *,
        one_time_until: datetime | None = None,
    ) -> Person:
        """A new person, or one who had left and is back.

        Raises:
            InputError: the name is taken.
        """
        ...

    def set_password(
        self, person_id: int, password_hash: str, *, one_time_until: datetime | None = None
    ) -> None:
        """A new password; all sessions of the person end."""
        ...

    def renew_hash(self, person_id: int, old: str, new: str) -> None:
        """The same password, hashed anew; sessions go on. Nothing if it changed meanwhile."""
        ...

    def last_seen(self) -> Mapping[int, datetime]:
        """When each person's newest session that still is kept was last used, by person id."""
        ...

    def leave(self, person_id: int, at: datetime) -> None:
        """They may come in no more; all their sessions end.

        Raises:
            InputError: the last keeper can't leave.
        """
        ...

    def open_session(self, session: Session) -> None:
        """Keep a session."""
        ...

    def session(self, digest: str, now: datetime) -> tuple[Session, Person] | None:
        """A session that holds at ``now`` and whose person has not left; otherwise None."""
        ...

    def seen(self, digest: str, at: datetime, ends_at: datetime) -> None:
        """Note that the session was used."""
        ...

    def close_session(self, digest: str) -> None:
        """Sign out."""
        ...

    def add_wall_token(self, name: str, digest: str, *, by: str | None, at: datetime) -> WallToken:
        """A new token."""
        ...

    def wall_tokens(self) -> Sequence[WallToken]:
        """All tokens, newest first."""
        ...

    def wall_token(self, digest: str) -> WallToken | None:
        """The token of that digest if it was not revoked."""
        ...

    def wall_seen(self, token_id: int, at: datetime) -> None:
        """Note that a tablet showed the wall."""
        ...

    def revoke_wall_token(self, token_id: int, at: datetime) -> None:
        """The tablet may show the wall no more."""
        ...
