"""What a cage is like and what belongs into it: sizes, the fit-out list, what is missing. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from service.nests.place import Place, PlaceKind

FITTED = (PlaceKind.CAGE, PlaceKind.BOX, PlaceKind.FLIGHT)
"""The kinds of places that have a size and a fit-out list."""

# Common practice, no source. A proposal: it holds nothing until the keeper has kept it.
PROPOSED: Mapping[PlaceKind, tuple[str, ...]] = {
    PlaceKind.CAGE: (
        "perches",
        "water",
        "seed dish",
        "soft food dish",
        "grit and cuttlebone",
        "tray, clean",
        "treated against mites",
        "ring with its number",
    ),
    PlaceKind.BOX: ("lid shuts", "inner floor, clean", "bedding", "treated against mites"),
    PlaceKind.FLIGHT: ("perches", "water", "seed dish", "bath", "shelter from draught"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """Outside width, depth and height [cm], each more than 0."""

    width_cm: float
    depth_cm: float
    height_cm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FitOutItem:
    """What belongs into every place of a kind; ``position`` is the order of looking, from 1."""

    id: int
    kind: PlaceKind
    name: str
    position: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FitOutSeen:
    """The newest look for an item in a place."""

    place: str
    item_id: int
    there: bool
    at: datetime
    by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """An item in a place; ``seen`` is None where nobody has ever looked for it there."""

    item: FitOutItem
    seen: FitOutSeen | None

    @property
    def is_there(self) -> bool:
        """Only what was seen there is there: not having looked counts as nothing."""
        return self.seen is not None and self.seen.there


@dataclass(frozen=True, slots=True, kw_only=True)
class FitOut:
    """One place with its list, in the order of looking."""

    place: Place
    items: tuple[Looked, ...]

    @property
    def missing(self) -> tuple[Looked, ...]:
        """What was looked for and was not there."""
        return tuple(one for one in self.items if one.seen is not None and not one.seen.there)

    @property
    def unseen(self) -> tuple[Looked, ...]:
        """What nobody has looked for."""
        return tuple(one for one in self.items if one.seen is None)


def fit_outs(
    places: Sequence[Place], items: Iterable[FitOutItem], seen: Iterable[FitOutSeen]
) -> tuple[FitOut, ...]:
    """The list of every place that has one by its kind, in the order of ``places``."""
    by_kind: dict[PlaceKind, list[FitOutItem]] = {}
    for item in sorted(items, key=lambda one: one.position):
        by_kind.setdefault(item.kind, []).append(item)
    newest = {(one.place, one.item_id): one for one in seen}
    return tuple(
        FitOut(
            place=place,
            items=tuple(
                Looked(item=item, seen=newest.get((place.id, item.id)))
                for item in by_kind.get(place.kind, ())
            ),
        )
        for place in places
        if place.kind in FITTED
    )
