"""What may be asked of the birds' part of the nest book."""

import hashlib
from collections.abc import Sequence
from datetime import date, datetime
from typing import Protocol

from service.nests.book_correction import BookCorrection
from service.nests.condition_note import ConditionNote
from service.nests.nest import Bird, Pair


def mark_of(bird: Bird) -> str:
    """Changes with every fact of a bird: who writes says by it which state was read."""
    return hashlib.sha256(repr(bird).encode()).hexdigest()[:16]


class BirdBook(Protocol):
    """Birds, their notes, and the end of pairs. Nothing is ever removed.

    Every writing method is one transaction and raises StoreUnavailableError when the store
    stays busy; nothing is changed then. ``today`` is the shed's own day, ``at`` an instant.
    """

    def birds(self) -> Sequence[Bird]:
        """All birds by id."""
        ...

    def bird(self, bird_id: int) -> Bird:
        """One bird.

        Raises:
            NotKnownError: no bird of that id.
        """
        ...

    def add(self, bird: Bird, *, today: date) -> Bird:
        """A new bird with all that is told of it; its id is given here.

        Raises:
            FaultyBirdError: it contradicts itself or the book; every fault in words.
        """
        ...

    def change(
        self,
        bird: Bird,
        *,
        at: datetime,
        today: date,
        by: str | None = None,
        why: str | None = None,
        based_on: str | None = None,
    ) -> Sequence[BookCorrection]:
        """Make a bird's facts these; what stood before is kept, one correction a fact.

        ``based_on`` is the mark of the bird that was read; None takes whatever stands there.

        Raises:
            NotKnownError: no bird of that id.
            FaultyBirdError: it would contradict itself or the book.
            ChangedMeanwhileError: the bird is no longer as it was read.
        """
        ...

    def corrections(self, bird_id: int) -> Sequence[BookCorrection]:
        """What was changed in a bird, oldest first."""
        ...

    def corrections_of_pair(self, pair_id: int) -> Sequence[BookCorrection]:
        """What was changed in a pair, its end among it, oldest first."""
        ...

    def undo(self, correction_id: int, *, by: str | None, at: datetime, today: date) -> None:
        """Put back what stood before a correction of a bird or of the end of a pair.

        Raises:
            NotKnownError: no such correction, or one of another part of the book.
            InputError: it was undone already, the fact has been changed again since, or what
                stood before would now contradict the book.
        """
        ...

    def notes(self, bird_id: int) -> Sequence[ConditionNote]:
        """Condition notes of a bird, newest first."""
        ...

    def add_note(
        self, bird_id: int, *, on: date, text: str, by: str | None, at: datetime
    ) -> ConditionNote:
        """A note on how a bird was on a day. The same once more is a form that was sent twice.

        Raises:
            NotKnownError: no bird of that id.
        """
        ...

    def end_pair(
        self, pair_id: int, *, on: date, by: str | None, at: datetime, why: str | None = None
    ) -> Pair:
        """A pair is put up no longer; its clutches stay as they are.

        Raises:
            NotKnownError: no pair of that id.
            InputError: it has ended already, or was put up after that day.
        """
        ...
