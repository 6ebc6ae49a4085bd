"""What may be asked of the store about treatments against mites and mould."""

from collections.abc import Sequence
from datetime import datetime
from typing import Protocol
from uuid import UUID

from service.nests.treatment import Against, Treatment


class TreatmentStore(Protocol):
    """Every writing method is one transaction; StoreUnavailableError where the store stays busy."""

    def treatments(self) -> Sequence[Treatment]:
        """All that were told, undone ones among them, oldest first."""
        ...

    def tell(
        self,
        place: str,
        against: Against,
        *,
        at: datetime,
        words: str = "",
        by: str | None,
        form_id: UUID,
    ) -> Treatment:
        """A place was treated at ``at``. The same form sent again is the same treatment.

        Raises:
            InputError: the words are too long, or hold what can't be shown.
        """
        ...

    def undo(self, treatment_id: int, *, at: datetime, by: str | None) -> None:
        """It was never given. Twice is once.

        Raises:
            NotKnownError: there never was such a treatment.
        """
        ...

    def put_back(self, treatment_id: int) -> None:
        """It was given after all.

        Raises:
            NotKnownError: there never was such a treatment.
        """
        ...
