"""What may be asked of the store about duties, what was done of them, and what runs low."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime
from typing import Protocol
from uuid import UUID

from service.nests.duty import Duty, DutyDone, DutySlot, DutyTerms, VisitTimes
from service.nests.running_low import RunningLow


class DutyStore(Protocol):
    """Every writing method is one transaction; StoreUnavailableError where the store stays busy."""

    def duties(self) -> Sequence[Duty]:
        """All that were not taken away, those that are off among them, in the keeper's order."""
        ...

    def duty(self, duty_id: int) -> Duty:
        """One of them.

        Raises:
            NotKnownError: no such duty, or it was taken away.
        """
        ...

    def add(self, terms: Sequence[DutyTerms], *, by: str | None, form_id: UUID) -> Sequence[int]:
        """New duties at the end of the list; their ids.

        A form that was sent before adds nothing; the ids are those that it added then.
        """
        ...

    def edit(self, duty_id: int, terms: DutyTerms, *, by: str | None, based_on: int) -> None:
        """The duty is so from ``terms.since`` on; what was done stays as it was done.

        Raises:
            NotKnownError: no such duty.
            ChangedMeanwhileError: it is no longer at the revision ``based_on``.
        """
        ...

    def take_away(self, duty_id: int, *, at: datetime, by: str | None) -> None:
        """It is not listed any more; what was done of it stays. Twice is once.

        Raises:
            NotKnownError: there never was such a duty.
        """
        ...

    def mark_done(
        self,
        words: Mapping[DutySlot, str],
        *,
        at: datetime,
        by: str | None,
        form_id: UUID,
    ) -> Sequence[DutyDone]:
        """These were done; what stands for each, in their order.

        A slot that was done already stays as it was told first: the answer says by whom and
        when. A form that was sent before changes nothing, whatever was undone since.

        Raises:
            NotKnownError: there never was such a duty.
        """
        ...

    def undo(self, done_ids: Collection[int], *, at: datetime, by: str | None) -> None:
        """These were not done after all. One that was undone already stays as it is.

        Raises:
            NotKnownError: one of them was never told.
        """
        ...

    def done(self, since: date, until: date | None = None) -> Sequence[DutyDone]:
        """All told for the days ``since <= day < until``, undone ones too, as they were told."""
        ...

    def told(self, since: datetime, until: datetime | None = None) -> Sequence[DutyDone]:
        """All that was told with ``since <= at < until``, for whichever day; else as ``done``."""
        ...

    def last_done(self) -> Sequence[DutyDone]:
        """For each duty and place the standing one of the latest day and visit."""
        ...

    def visit_times(self) -> VisitTimes:
        """From when on which visit counts."""
        ...

    def put_visit_times(self, times: VisitTimes) -> None:
        """Replace them."""
        ...


class RunningLowStore(Protocol):
    """Every writing method is one transaction; StoreUnavailableError where the store stays busy."""

    def open(self) -> Sequence[RunningLow]:
        """What runs low now, oldest first."""
        ...

    def earlier(self, limit: int = 12) -> Sequence[str]:
        """What ran low before and does not now, the latest first: to be added with one tap."""
        ...

    def add(self, what: str, *, at: datetime, by: str | None) -> RunningLow:
        """It runs low. What is on the list already, however it is capitalised, stays as it is.

        Raises:
            InputError: no words, or too many.
        """
        ...

    def strike(self, low_id: int, *, at: datetime, by: str | None) -> None:
        """It was brought, or does not run low after all. Twice is once.

        Raises:
            NotKnownError: it was never on the list.
        """
        ...

    def put_back(self, low_id: int) -> None:
        """It was struck by mistake. One that stands on the list stays as it is.

        Raises:
            NotKnownError: it was never on the list.
        """
        ...
