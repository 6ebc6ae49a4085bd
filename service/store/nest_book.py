"""What may be asked of the nest book."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime
from typing import Protocol

from devices.errors import ClutchweatherError
from service.nests.book_correction import BookCorrection, Subject
from service.nests.book_says import RingWorn
from service.nests.nest import Bird, Clutch, Move, Nest, NestCheck, Pair, Sex
from service.nests.place import Place
from service.nests.species import SpeciesSettings
from service.nests.weighing import Weighing


class ChangedMeanwhileError(ClutchweatherError):
    """Someone else wrote to this nest since it was read; read it again and compare anew."""


class NestBook(Protocol):
    """Birds, pairs, clutches and checks. Pages and commands write, everyone reads.

    Every writing method is one transaction and raises StoreUnavailableError when the store
    stays busy; nothing is changed then.
    """

    def places(self) -> Sequence[Place]:
        """All places in walking order."""
        ...

    def put_places(self, places: Sequence[Place]) -> None:
        """Add or replace by id. Places that are not named stay.

        Raises:
            InputError: a place stands in one that nobody knows.
        """
        ...

    def remove_places(self, places: Sequence[str]) -> None:
        """Remove places by id; those that are not there are passed over.

        Raises:
            InputError: a pair was put up in one, a box has a clutch or was looked into, or
                another place stands in it. Nothing is removed then.
        """
        ...

    def add_bird(
        self,
        *,
        sex: Sex,
        ring: str | None = None,
        name: str | None = None,
        variety: str | None = None,
        hatched_on: date | None = None,
    ) -> Bird:
        """A new bird.

        Raises:
            InputError: the ring is another bird's.
        """
        ...

    def birds(self) -> Sequence[Bird]:
        """All birds by id."""
        ...

    def put_up(self, *, cage: str, cock_id: int, hen_id: int, on: date) -> Pair:
        """Put a pair up in a cage or flight; a pair that was there ends on that day.

        The same two birds in the same cage again are the pair that is there already.

        Raises:
            NotKnownError: no such cage or bird.
            InputError: a hen for a cock, a bird that is paired elsewhere, dead, sold or not
                yet hatched, or a day before the pair that is there was put up.
        """
        ...

    def pairs(self) -> Sequence[Pair]:
        """All pairs, newest first."""
        ...

    def nests(self) -> Sequence[Nest]:
        """Every box in walking order, with its open or last clutch."""
        ...

    def nest(self, box: str) -> Nest:
        """One box.

        Raises:
            NotKnownError: no box of that id.
        """
        ...

    def clutches(self) -> Sequence[Clutch]:
        """Every clutch there ever was, in the order in which they were begun."""
        ...

    def clutches_in(self, box: str) -> Sequence[Clutch]:
        """The clutches that were laid in a box, first to last; none in one that nobody knows."""
        ...

    def clutches_of(self, pair_id: int) -> Sequence[Clutch]:
        """The clutches of one pair, first to last; none for a pair that nobody knows."""
        ...

    def clutches_of_birds(self, cock_id: int, hen_id: int) -> Sequence[Clutch]:
        """The clutches of these two, however often they were put up together."""
        ...

    def weighings_of(self, clutch_id: int) -> Sequence[Weighing]:
        """Of the eggs of a clutch and the chicks out of them, oldest first."""
        ...

    def weighings_of_bird(self, bird_id: int) -> Sequence[Weighing]:
        """Of a bird, and of the chick in this book that it was, oldest first."""
        ...

    def check(self, form_id: str) -> NestCheck | None:
        """The check with that form id, or None."""
        ...

    def record(
        self,
        check: NestCheck,
        clutch: Clutch | None,
        *,
        others: Sequence[Clutch] = (),
        changes: Sequence[str] = (),
        based_on: int | None = None,
    ) -> bool:
        """Store a check and the clutch as it stands after it, once per form id.

        A clutch with id 0, egg or chick with id 0 is new; nothing is ever removed. Returns
        False, and changes nothing, when the form id is there already. ``changes`` are the
        sentences that the keeper was shown. ``based_on`` is the revision of the nest that
        was read; None takes whatever stands there. ``others`` are the clutches of guests of
        which the check told something. What it weighed is kept as weighings.

        Raises:
            NotKnownError: no such box, pair, clutch or weighed egg.
            ChangedMeanwhileError: the nest is no longer at ``based_on``.
            InputError: a ring that somebody else wears.
        """
        ...

    def withdraw(self, form_id: str) -> bool:
        """Take back a look that told no more than that all is as it was.

        Returns False where there is no such look, or no longer.

        Raises:
            InputError: it told something or changed the book, or another look came after it.
        """
        ...

    def rings_worn(self, rings: Collection[str]) -> tuple[RingWorn, ...]:
        """Every bird and chick of the book that wears one of these rings."""
        ...

    def move(
        self,
        eggs: Sequence[tuple[int, str]],
        *,
        to_box: str,
        at: datetime,
        now: datetime,
        why: str = "",
        by: str | None = None,
    ) -> Sequence[Move]:
        """Eggs, or the chicks out of them, go into another box; their parents stay theirs.

        ``eggs`` are ids, each with the box that it is taken out of: all are moved, or none. A
        clutch that was over goes on where one of it comes home before the next began.

        Raises:
            NotKnownError: no such egg or box.
            InputError: one is not there, has its fate, or the move is told for an instant that
                the looks and moves before it rule out; the message says which.
        """
        ...

    def changes(self, form_id: str) -> tuple[str, ...]:
        """The sentences stored with that check; empty when there is none."""
        ...

    def set_sitting_from(
        self, clutch_id: int, at: datetime | None, *, by: str | None, now: datetime
    ) -> None:
        """The keeper says when the hen began to sit; None takes it back.

        What stood before is kept beside who changed it and when.

        Raises:
            NotKnownError: no clutch of that id.
            InputError: before the first egg, or still to come.
        """
        ...

    def correct(
        self,
        subject: Subject,
        subject_id: int,
        fact: str,
        value: str | None,
        *,
        at: datetime,
        why: str | None = None,
        by: str | None = None,
    ) -> Sequence[BookCorrection]:
        """Change a fact of a clutch, egg, chick, move or weighing by hand.

        ``fact`` and ``value`` are as in ``service.nests.facts``; None takes the fact back (a
        move or a weighing that never was, an egg that was miscounted). What stood before is
        kept. Empty where it is so already.

        Raises:
            NotKnownError: no such subject, or no such fact of it.
            InputError: the value is none, or contradicts the rest of the book; in sentences.
        """
        ...

    def correct_all(
        self,
        subject: Subject,
        subject_id: int,
        facts: Mapping[str, str | None],
        *,
        at: datetime,
        why: str | None = None,
        by: str | None = None,
    ) -> Sequence[BookCorrection]:
        """Several facts of one subject at once: all of them, or none; else as ``correct``."""
        ...

    def bird_of_chick(
        self, chick_id: int, bird: Bird, *, at: datetime, today: date, by: str | None = None
    ) -> Bird:
        """The chick is a bird of the book from now on; ``today`` is the shed's own day.

        ``bird`` tells what nobody knew of the chick (sex, name, variety, day); its ring is the
        chick's, and its parents are the pair that laid the egg, wherever it was reared.
        Undoing it (``undo``) leaves the bird in the book, and unties the two.

        Raises:
            NotKnownError: no such chick.
            InputError: it is one already, it died, or the bird can't be so; in sentences.
        """
        ...

    def undo(self, correction_id: int, *, at: datetime, by: str | None = None) -> None:
        """Put back what stood before a correction; it stays, with who undid it and when.

        Raises:
            NotKnownError: no such correction, or one of a bird or a pair.
            InputError: it was undone before, a later one of the same fact stands on it, a look
                has changed the fact since, or what stood before contradicts the book by now.
        """
        ...

    def weigh(self, weighing: Weighing, *, now: datetime) -> Weighing:
        """Keep a mass that no look told; its id is made here.

        Raises:
            NotKnownError: no such egg or bird.
            InputError: a mass that can't be, or an instant to come or before it was laid.
        """
        ...

    def corrections(self, clutch_id: int) -> Sequence[BookCorrection]:
        """What was changed by hand in a clutch, oldest first."""
        ...

    def species(self) -> SpeciesSettings:
        """The spans that due dates are reckoned with, as edited."""
        ...

    def put_species(self, settings: SpeciesSettings) -> None:
        """Replace the spans."""
        ...
