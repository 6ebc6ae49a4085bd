"""What may be asked of the store about cages and boxes as things: sizes and fit-out."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Protocol

from service.nests.fit_out import FitOutItem, FitOutSeen, Size
from service.nests.place import PlaceKind


class CageStore(Protocol):
    """Every writing method is one transaction; StoreUnavailableError where the store stays busy."""

    def sizes(self) -> Mapping[str, Size]:
        """Sizes by place; a place that was never measured is not in it."""
        ...

    def put_sizes(self, sizes: Mapping[str, Size | None]) -> None:
        """Set sizes by place; None takes one away. Places that are not named keep theirs.

        Raises:
            NotKnownError: no such place.
        """
        ...

    def items(self) -> Sequence[FitOutItem]:
        """The fit-out lists of all kinds of places, each in the order of looking."""
        ...

    def put_items(self, kind: PlaceKind, names: Sequence[str]) -> None:
        """Make these the list of a kind, in this order.

        An item whose name stays keeps what was seen of it; one that goes takes that with it.
        """
        ...

    def seen(self) -> Sequence[FitOutSeen]:
        """The newest look for every item in every place."""
        ...

    def put_seen(
        self, place: str, there: Mapping[int, bool], *, by: str | None, at: datetime
    ) -> None:
        """What was seen in a place, by item. Items that are not named keep their last look.

        Raises:
            NotKnownError: no such place, or an item of another kind of place.
        """
        ...
