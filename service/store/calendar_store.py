"""What may be asked of the calendar feeds: their secret addresses, and what each was told."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarToken:
    """The right of whoever has the address to read what is due; only its digest is kept."""

    id: int
    name: str
    digest: str
    made_at: datetime
    made_by: str | None = None
    revoked_at: datetime | None = None
    seen_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarDays:
    """Which days of the shed an event takes, both included, and all it says in words."""

    first: date
    last: date
    told: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """How often an event's days were changed since it was first told, and when it last was."""

    sequence: int
    modified_at: datetime


class CalendarStore(Protocol):
    """Every writing method is one transaction and raises StoreUnavailableError when the store
    stays busy; nothing is changed then.
    """

    def add(self, name: str, digest: str, *, by: str | None, at: datetime) -> CalendarToken:
        """A new secret address."""
        ...

    def all(self) -> Sequence[CalendarToken]:
        """All of them, newest first."""
        ...

    def found(self, digest: str) -> CalendarToken | None:
        """The one of that digest, if it was not revoked."""
        ...

    def seen(self, token_id: int, at: datetime) -> None:
        """Note that a calendar was read."""
        ...

    def revoke(self, token_id: int, at: datetime) -> None:
        """The address tells nothing any more; when it was revoked first stays.

        Raises:
            NotKnownError: no such address.
        """
        ...

    def revised(
        self, token_id: int, events: Mapping[str, CalendarDays], at: datetime
    ) -> Mapping[str, Revision]:
        """The revision of each event by its UID, those that changed noted with ``at``.

        Other days than last time count one up; other words are noted without that. What is
        told no more keeps its count, so that it never comes back with a lower one.
        """
        ...
