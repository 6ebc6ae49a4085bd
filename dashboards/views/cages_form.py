"""How many cages, all alike, and how many boxes each; and the walk that comes of it. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from service.nests.place import Place, PlaceKind
from service.settings.settings import Settings

MOST_CAGES = 99
MOST_BOXES_EACH = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class CagesForm:
    """As typed."""

    count: str
    each: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CagesAnswer:
    """What it means."""

    count: int
    each: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One stop of the walk: a cage or flight with its boxes, or a box that stands alone."""

    name: str
    boxes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CagesFormView:
    """``walk`` is empty before there is a cage."""

    form: CagesForm
    walk: tuple[Stop, ...]
    most_cages: int
    most_each: int


def cages_form(settings: Settings) -> CagesForm:
    """The form as it is first shown."""
    cages = [place for place in settings.places if place.kind is PlaceKind.CAGE]
    boxes = [place for place in settings.places if place.kind is PlaceKind.BOX]
    each = round(len(boxes) / len(cages)) if cages else 1
    return CagesForm(count=str(len(cages) or ""), each=str(each))


def typed_cages(told: Mapping[str, str]) -> CagesForm:
    """The form as it was sent."""
    return CagesForm(count=told.get("count", "").strip(), each=told.get("each", "").strip())


def read_cages(form: CagesForm) -> CagesAnswer | tuple[str, ...]:
    """What it means, or every fault in words."""
    faults: list[str] = []
    count = _whole(form.count, 1, MOST_CAGES, "Cages", faults)
    each = _whole(form.each, 0, MOST_BOXES_EACH, "Boxes on each cage", faults)
    if count is None or each is None:
        return tuple(faults)
    return CagesAnswer(count=count, each=each)


def _whole(text: str, least: int, most: int, what: str, faults: list[str]) -> int | None:
    if text.isascii() and text.isdigit() and least <= int(text[:6]) <= most and len(text) <= 6:
        return int(text)
    shown = text[:20] or "nothing"
    faults.append(f"{what}: {shown} is not allowed; allowed: a whole number, {least} to {most}.")
    return None


def cages_form_view(form: CagesForm, settings: Settings) -> CagesFormView:
    """The form, and the walk as it is now."""
    return CagesFormView(
        form=form,
        walk=walk(settings.places),
        most_cages=MOST_CAGES,
        most_each=MOST_BOXES_EACH,
    )


def walk(places: Sequence[Place]) -> tuple[Stop, ...]:
    """The stops in walking order; ``places`` are in that order."""
    stops = []
    around = {place.id: place for place in places}
    for place in places:
        if place.kind in {PlaceKind.CAGE, PlaceKind.FLIGHT}:
            boxes = (one.name for one in places if one.within == place.id and _is_box(one))
            stops.append(Stop(name=place.name, boxes=tuple(boxes)))
        elif _is_box(place):
            outer = around.get(place.within or "")
            if outer is None or outer.kind is PlaceKind.SHED:
                stops.append(Stop(name=place.name, boxes=()))
    return tuple(stops)


def _is_box(place: Place) -> bool:
    return place.kind is PlaceKind.BOX
