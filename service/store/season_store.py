"""What may be asked of the seasons' part of the nest book."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Protocol

from service.nests.clean_down import BoxOff, CleanDownTask
from service.nests.season import Season


class SeasonStore(Protocol):
    """Seasons, what is to be done after each, and boxes that are off.

    Every writing method is one transaction and raises StoreUnavailableError when the store
    stays busy; nothing is changed then.
    """

    def seasons(self) -> Sequence[Season]:
        """All seasons, oldest first."""
        ...

    def with_young(self) -> bool:
        """Whether by the book an egg lies or a chick sits in any nest, season or none."""
        ...

    def open(self, name: str, on: date) -> Season:
        """A new season.

        Raises:
            InputError: no name, one goes on, or the last was closed after that day.
        """
        ...

    def take_back(self, season_id: int) -> None:
        """Remove a season that was opened by mistake.

        Raises:
            NotKnownError: no such season.
            InputError: it is not the last, was closed before, or a pair was put up in it.
        """
        ...

    def close(
        self, season_id: int, *, on: date, by: str | None, tasks: Sequence[tuple[str, str]]
    ) -> None:
        """Close it, and note what is to be done afterwards; tasks that are there stay.

        Raises:
            NotKnownError: no such season.
            InputError: it is closed already, or began after that day.
        """
        ...

    def reopen(self, season_id: int) -> None:
        """It goes on as if it had never been closed; what was done of its tasks stays noted.

        Raises:
            NotKnownError: no such season.
            InputError: it is not closed, or another has begun since.
        """
        ...

    def clean_down(self, season_id: int) -> Sequence[CleanDownTask]:
        """What is to be done after it, in the order in which it was noted."""
        ...

    def set_done(
        self, task_ids: Sequence[int], *, done: bool, by: str | None, at: datetime
    ) -> None:
        """Tasks were done, or were not after all. One that is so already is left as it is.

        Raises:
            NotKnownError: no such task.
        """
        ...

    def boxes_off(self) -> Sequence[BoxOff]:
        """Boxes that are off, by their ids."""
        ...

    def set_off(self, boxes: Sequence[str], *, off: bool, by: str | None, at: datetime) -> None:
        """Boxes were taken off or put on. One that is so already is left as it is.

        Raises:
            NotKnownError: no such box.
        """
        ...
