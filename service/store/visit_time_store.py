"""What may be asked of the store about how long visits took."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Protocol
from uuid import UUID

from service.nests.duty import Visit
from service.nests.nest import NestCheck
from service.nests.workload.timed_visit import TimedVisit


class VisitTimeStore(Protocol):
    """Every writing method is one transaction; StoreUnavailableError where the store stays busy."""

    def begin(
        self, day: date, visit: Visit, *, at: datetime, by: str | None, form_id: UUID
    ) -> TimedVisit:
        """A visit begins; or the one that goes on already, whoever began it.

        A form that was sent before begins nothing; the answer is what it began then.
        """
        ...

    def end(self, visit_id: int, *, at: datetime, by: str | None) -> TimedVisit:
        """It is over. One that was ended before stays as it was ended first.

        Raises:
            NotKnownError: no such visit.
            InputError: it began after ``at``.
        """
        ...

    def going_on(self, at: datetime) -> TimedVisit | None:
        """The visit that was begun and not ended; None where there is none, or where it was
        begun so long ago that its end was forgotten.
        """
        ...

    def visits(self, since: date, until: date | None = None) -> Sequence[TimedVisit]:
        """All of the days ``since <= day < until``, oldest first."""
        ...

    def looks(self, since: datetime) -> Sequence[NestCheck]:
        """All looks into boxes from then on, oldest first, whatever became of the nest."""
        ...
