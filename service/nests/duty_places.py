"""For which places a duty is, in walking order. Pure."""

from collections.abc import Collection, Mapping, Sequence

from service.nests.duty import DutyWhere, WhereKind
from service.nests.nest import Nest
from service.nests.place import Place, PlaceKind

_KINDS = {
    WhereKind.EVERY_CAGE: PlaceKind.CAGE,
    WhereKind.EVERY_BOX: PlaceKind.BOX,
    WhereKind.EVERY_FLIGHT: PlaceKind.FLIGHT,
    WhereKind.SHED: PlaceKind.SHED,
}


def places_of(where: DutyWhere, places: Sequence[Place], nests: Sequence[Nest]) -> list[str]:
    """Ids in the order of ``places``. Boxes that are off are left out, unless they are named."""
    if where.kind is WhereKind.NAMED:
        named = set(where.places)
        return [place.id for place in places if place.id in named]
    off = {nest.box.id for nest in nests if nest.off_since is not None}
    kind = _KINDS[where.kind]
    return [place.id for place in places if place.kind is kind and place.id not in off]


def nests_in(place: str, places: Mapping[str, Place], nests: Collection[Nest]) -> list[Nest]:
    """The nest of a box, or those of all boxes that stand in a cage, flight or shed."""
    return [nest for nest in nests if place in _around(nest.box.id, places)]


def _around(place: str | None, places: Mapping[str, Place]) -> set[str]:
    """The place and all that it stands in."""
    around: set[str] = set()
    while place is not None and place not in around:
        around.add(place)
        known = places.get(place)
        place = known.within if known else None
    return around
