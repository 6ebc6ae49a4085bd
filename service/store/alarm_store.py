"""What may be asked of the store of alarms, and of pages' requests to watch.

Alarm states are changed by watch alone; pages leave a request.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol

from service.alarms.alarm import Alarm


class AlarmStore(Protocol):
    """Keeps every alarm that was ever raised."""

    def open_alarms(self) -> Sequence[Alarm]:
        """Alarms whose state is not NORMAL, oldest first."""
        ...

    def alarms(self, since: datetime | None, until: datetime | None) -> Sequence[Alarm]:
        """Alarms raised in ``since <= raised_at < until``, newest first; None is no bound."""
        ...

    def put(self, alarms: Sequence[Alarm]) -> None:
        """Add or replace by id, all in one transaction.

        Raises:
            StoreUnavailableError: nothing was changed.
        """
        ...


class RequestKind(StrEnum):
    """What a page may ask of watch."""

    ACKNOWLEDGE = "acknowledge"
    LISTEN_ROUND = "listen round"
    RETRY_LETTERS = "retry letters"


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """``subject`` is the id of an alarm for ACKNOWLEDGE, empty for LISTEN_ROUND (listen to
    every topic for ten minutes), and a topic for RETRY_LETTERS (read its dead letters again).
    """

    id: int
    kind: RequestKind
    subject: str
    by: str | None
    at: datetime


class RequestStore(Protocol):
    """A queue from pages to watch, in records.db."""

    def ask(self, kind: RequestKind, subject: str, *, by: str | None, at: datetime) -> int:
        """Leave a request; return its id."""
        ...

    def pending(self) -> Sequence[Request]:
        """Requests not yet carried out, oldest first."""
        ...

    def outcome(self, request_id: int) -> str | None:
        """What came of a request, in words; None while it waits.

        Raises:
            NotKnownError: there is no such request.
        """
        ...

    def settle(self, request_id: int, *, at: datetime, outcome: str) -> None:
        """Mark a request as carried out, with what came of it in words."""
        ...
