"""What may be asked of the nest book."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Protocol

from service.nests.nest import Bird, Clutch, Nest, NestCheck, Pair, Sex
from service.nests.place import Place
from service.nests.species import SpeciesSettings


class NestBook(Protocol):
    """Birds, pairs, clutches and checks. Pages and commands write, everyone reads.

    Every writing method is one transaction and raises StoreUnavailableError when the store
    stays busy; nothing is changed then.
    """

    def places(self) -> Sequence[Place]:
        """All places in walking order."""
        ...

    def put_places(self, places: Sequence[Place]) -> None:
        """Add or replace by id. Places that are not named stay."""
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
        """Put a pair up in a cage; a pair that was there ends on that day.

        Raises:
            NotKnownError: no such cage or bird.
            InputError: a hen for a cock, or a bird that is paired elsewhere.
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

    def check(self, form_id: str) -> NestCheck | None:
        """The check with that form id, or None."""
        ...

    def record(self, check: NestCheck, clutch: Clutch | None) -> bool:
        """Store a check and the clutch as it stands after it, once per form id.

        A clutch with id 0, egg or chick with id 0 is new. Returns False, and changes
        nothing, when the form id is there already.
        """
        ...

    def set_sitting_from(
        self, clutch_id: int, at: datetime | None, *, by: str | None, now: datetime
    ) -> None:
        """The keeper says when the hen began to sit; None takes it back.

        What stood before is kept beside who changed it and when.

        Raises:
            NotKnownError: no such clutch.
        """
        ...

    def species(self) -> SpeciesSettings:
        """The spans that due dates are reckoned with, as edited."""
        ...

    def put_species(self, settings: SpeciesSettings) -> None:
        """Replace the spans."""
        ...
