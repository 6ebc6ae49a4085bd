"""Places: in which order they are walked, what hangs on each, and what may be done. Pure."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from dashboards.views.local_words import count
from dashboards.views.names import name_faults
from service.nests.place import Place, PlaceKind
from service.settings.settings import Settings

KINDS = (
    PlaceKind.CAGE,
    PlaceKind.BOX,
    PlaceKind.FLIGHT,
    PlaceKind.SHED,
    PlaceKind.OUTDOORS,
    PlaceKind.SURFACE,
)
STANDS_IN: Mapping[PlaceKind, tuple[PlaceKind, ...]] = {
    PlaceKind.BOX: (PlaceKind.CAGE, PlaceKind.FLIGHT, PlaceKind.SHED),
    PlaceKind.CAGE: (PlaceKind.SHED, PlaceKind.FLIGHT),
    PlaceKind.FLIGHT: (PlaceKind.SHED, PlaceKind.OUTDOORS),
    PlaceKind.SURFACE: (PlaceKind.SHED, PlaceKind.FLIGHT),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hanging:
    """What hangs on places elsewhere than in the settings: ids of places.

    ``birds`` have, or had, a pair, a clutch or a check; ``readings`` have values of their own.
    """

    birds: Collection[str] = ()
    readings: Collection[str] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceRow:
    """``holds`` says in words what hangs on the place; it can be removed where that is empty."""

    id: str
    name: str
    kind: str
    within: str
    number: int
    holds: tuple[str, ...]
    in_file: bool
    is_stop: bool

    @property
    def may_go(self) -> bool:
        """Whether it can be removed."""
        return not self.holds and not self.in_file


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPlace:
    """A place to be added; ``joins``: it is walked to together with what it stands in."""

    kind: PlaceKind
    name: str
    within: str | None
    joins: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacesView:
    """``rows`` are in walking order; ``order_in_file`` where the file states a place."""

    rows: tuple[PlaceRow, ...]
    order_in_file: bool
    around: tuple[tuple[str, str], ...]
    kinds: tuple[str, ...]

    def row(self, place_id: str) -> PlaceRow | None:
        """One of the rows."""
        return next((row for row in self.rows if row.id == place_id), None)


def places_view(settings: Settings, hanging: Hanging) -> PlacesView:
    """All places."""
    names = {place.id: place.name for place in settings.places}
    rows = []
    number = 0
    for place in settings.places:
        if place.kind is PlaceKind.JAR:
            continue
        stop = is_stop(place, settings.places)
        number += stop
        rows.append(
            PlaceRow(
                id=place.id,
                name=place.name,
                kind=place.kind.value,
                within=names.get(place.within or "", ""),
                number=number if stop else 0,
                holds=holds(place.id, settings, hanging),
                in_file=("place", place.id) in settings.fixed,
                is_stop=stop,
            )
        )
    inner = {kind for kinds in STANDS_IN.values() for kind in kinds}
    return PlacesView(
        rows=tuple(rows),
        order_in_file=any(path[0] == "place" for path in settings.fixed),
        around=tuple((place.id, place.name) for place in settings.places if place.kind in inner),
        kinds=tuple(kind.value for kind in KINDS),
    )


def is_stop(place: Place, places: Sequence[Place]) -> bool:
    """Whether the walk stops here: at a cage or flight, or at a box that stands in neither."""
    if place.kind in {PlaceKind.CAGE, PlaceKind.FLIGHT}:
        return True
    if place.kind is not PlaceKind.BOX:
        return False
    around = next((one for one in places if one.id == place.within), None)
    return around is None or around.kind is PlaceKind.SHED


def holds(place_id: str, settings: Settings, hanging: Hanging) -> tuple[str, ...]:
    """What hangs on a place, in words."""
    told = []
    inside = sum(place.within == place_id for place in settings.places)
    if inside:
        told.append(count(inside, "place") + " in it")
    told += [f"sensor {one.device}" for one in settings.sensors if one.place == place_id]
    limits = sum(limit.place == place_id for limit in settings.limits)
    if limits:
        told.append(count(limits, "limit"))
    if place_id in hanging.birds:
        told.append("the nest book writes of it")
    if place_id in hanging.readings:
        told.append("readings were taken there")
    if sum(place.kind is PlaceKind.SHED for place in settings.places) == 1 and any(
        place.id == place_id and place.kind is PlaceKind.SHED for place in settings.places
    ):
        told.append("it is the only shed")
    return tuple(told)


def new_order(told: Mapping[str, str], places: Sequence[Place]) -> tuple[Place, ...] | str:
    """All places in the order of the numbers that were typed, or what is wrong in words.

    What stands in a stop goes with it; stops with the same number keep their order.
    """
    stops = [place for place in places if is_stop(place, places)]
    wanted: list[tuple[int, int, Place]] = []
    for at, stop in enumerate(stops):
        text = told.get(f"number.{stop.id}", "").strip()
        if not (text.isascii() and text.isdigit() and len(text) <= 4):
            shown = text[:20] or "nothing"
            return f"{stop.name}: {shown} is no place in the walk; allowed: a number, 0 to 9999."
        wanted.append((int(text), at, stop))
    walked = [stop for _, _, stop in sorted(wanted, key=lambda one: one[:2])]
    inside = [place for place in places if place not in stops]
    first = [place for place in inside if not _is_in_one(place, stops)]
    ordered = list(first)
    for stop in walked:
        ordered += [stop, *(place for place in inside if place.within == stop.id)]
    return tuple(ordered)


def _is_in_one(place: Place, stops: Sequence[Place]) -> bool:
    return any(place.within == stop.id for stop in stops)


def read_new_place(told: Mapping[str, str], places: Sequence[Place]) -> NewPlace | tuple[str, ...]:
    """The place that was typed, or every fault in words."""
    name = told.get("name", "").strip()
    faults = list(name_faults(name, "Name"))
    kind = next((one for one in KINDS if one.value == told.get("kind")), None)
    if kind is None:
        faults.append(f"Kind: choose one of {', '.join(one.value for one in KINDS)}.")
        return tuple(faults)
    around = next((place for place in places if place.id == told.get("within")), None)
    allowed = STANDS_IN.get(kind, ())
    if allowed and (around is None or around.kind not in allowed):
        wanted = " or a ".join(one.value for one in allowed)
        faults.append(f"Stands in: a {kind.value} stands in a {wanted}; choose one.")
    if faults:
        return tuple(faults)
    return NewPlace(
        kind=kind,
        name=name,
        within=around.id if around and allowed else None,
        joins=around is not None and is_stop(around, places),
    )


def new_id(kind: PlaceKind, taken: Collection[str]) -> str:
    """An id for a new place: ``cage-10``, the first number that is free."""
    number = 1
    while f"{kind.value}-{number}" in taken:
        number += 1
    return f"{kind.value}-{number}"
