"""What may be asked of the store of alarms, and of pages' requests to watch.

Alarm states are changed by watch alone; pages leave a request.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol

from service.alarms.alarm import Alarm
from service.alarms.journal import JournalLine
from service.alarms.suppression import Suppression


class AlarmStore(Protocol):
    """Keeps every alarm that was ever raised."""

    def open_alarms(self) -> Sequence[Alarm]:
        """Alarms whose state is not NORMAL, oldest first."""
        ...

    def alarms(self, since: datetime | None, until: datetime | None) -> Sequence[Alarm]:
        """Alarms raised in ``since <= raised_at < until``, newest first; None is no bound."""
        ...

    def put(
        self,
        alarms: Sequence[Alarm],
        *,
        lines: Sequence[JournalLine] = (),
        suppressions: Sequence[Suppression] = (),
        lifted: Sequence[str] = (),
    ) -> None:
        """Add or replace alarms by id and suppressions by rule, add lines to the journal, and
        forget the suppressions of the rules ``lifted``: all in one transaction.

        Raises:
            StoreUnavailableError: nothing was changed.
        """
        ...

    def suppressions(self) -> Sequence[Suppression]:
        """What persons have shelved or taken out of service, and not put back, by rule."""
        ...

    def journal(self, since: datetime | None, until: datetime | None) -> Sequence[JournalLine]:
        """Lines of ``since <= at < until``, newest first; None is no bound."""
        ...


class RequestKind(StrEnum):
    """What a page may ask of watch."""

    ACKNOWLEDGE = "acknowledge"
    RESET = "reset"
    SHELVE = "shelve"
    UNSHELVE = "unshelve"
    OUT_OF_SERVICE = "out of service"
    INTO_SERVICE = "into service"
    LISTEN_ROUND = "listen round"
    RETRY_LETTERS = "retry letters"


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """``subject`` is the id of an alarm for ACKNOWLEDGE and RESET, a rule's id for SHELVE,
    UNSHELVE, OUT_OF_SERVICE and INTO_SERVICE, empty for LISTEN_ROUND (listen to every topic for
    ten minutes), and a topic for RETRY_LETTERS (read its dead letters again). ``body`` is a
    ``ShelfWish`` as text for SHELVE and OUT_OF_SERVICE, else None.
    """

    id: int
    kind: RequestKind
    subject: str
    by: str | None
    at: datetime
    body: str | None = None


class RequestStore(Protocol):
    """A queue from pages to watch, in records.db."""

    def ask(
        self,
        kind: RequestKind,
        subject: str,
        *,
        by: str | None,
        at: datetime,
        body: str | None = None,
    ) -> int:
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
