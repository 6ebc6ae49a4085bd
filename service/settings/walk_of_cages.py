"""Cages and boxes, all alike, in the order in which the keeper walks by. Pure."""

import re
from collections.abc import Iterable, Sequence
from string import ascii_lowercase

from service.errors import InputError
from service.nests.place import PlaceKind
from service.settings.agreement import DEFAULT_PLACE
from service.settings.document import Changed, removed
from service.settings.kept import Table, entries_of, names_in
from service.store.kept_settings import Document

MOST_CAGES = 99
MOST_BOXES_EACH = 9

_CAGE = re.compile(r"cage-([1-9]\d*)", re.ASCII)
_STEP = 10


def with_cages(document: Document, count: int, boxes_each: int) -> Document:
    """``count`` cages in the shed with ``boxes_each`` boxes each.

    Cages and boxes that are there stay; new ones are cage-N, and box-N where there is one
    for each cage, box-Na, box-Nb, … where there are more.

    Raises:
        InputError: out of range, an id that something else bears, or a cage or box to be
            removed on which something hangs.
    """
    _in_range("cages", count, 0, MOST_CAGES)
    _in_range("boxes in each cage", boxes_each, 0, MOST_BOXES_EACH)
    document, shed = _with_shed(document)
    document = removed(document, tuple(_beyond(document, count, boxes_each)))
    for number in range(1, count + 1):
        document = _with_cage(document, number, shed, boxes_each)
    return document


def _in_range(what: str, number: int, least: int, most: int) -> None:
    if not least <= number <= most:
        raise InputError(f"{number} {what}: allowed are {least} to {most}")


def _with_shed(document: Document) -> tuple[Document, str]:
    """A shed for the cages to stand in: the first, or one that is made now."""
    places = entries_of(document, "place")
    for place in places:
        if place.get("kind") == PlaceKind.SHED and "id" in place:
            return document, str(place["id"])
    shed = {"id": DEFAULT_PLACE, "kind": PlaceKind.SHED.value}
    return {**document, "place": [*places, shed]}, DEFAULT_PLACE


def _beyond(document: Document, count: int, boxes_each: int) -> Iterable[str]:
    """The cages and boxes that would be too many."""
    for cage in entries_of(document, "place"):
        match = _CAGE.fullmatch(str(cage.get("id")))
        if match is None or cage.get("kind") != PlaceKind.CAGE:
            continue
        boxes = _boxes_of(document, match[0])
        if int(match[1]) > count:
            yield from (*boxes, match[0])
        else:
            yield from boxes[boxes_each:]


def _boxes_of(document: Document, cage: str) -> Sequence[str]:
    return [
        str(one["id"])
        for one in entries_of(document, "place")
        if one.get("kind") == PlaceKind.BOX and one.get("in") == cage and "id" in one
    ]


def _with_cage(document: Document, number: int, shed: str, boxes_each: int) -> Document:
    cage = f"cage-{number}"
    if cage not in names_in("place", document):
        document = _with_place(document, _place(cage, PlaceKind.CAGE, shed, _STEP * number))
    elif not any(
        one.get("id") == cage and one.get("kind") == PlaceKind.CAGE
        for one in entries_of(document, "place")
    ):
        raise InputError(f"{cage} is there already, and is no cage")
    for at in range(len(_boxes_of(document, cage)), boxes_each):
        box = _free_box(document, number, at, boxes_each)
        document = _with_place(document, _place(box, PlaceKind.BOX, cage, _STEP * number + 1 + at))
    return document


def _free_box(document: Document, number: int, at: int, boxes_each: int) -> str:
    ids = [f"box-{number}{letter}" for letter in ascii_lowercase]
    wished = f"box-{number}" if boxes_each == 1 else ids[at]
    taken = names_in("place", document)
    return next(box for box in (wished, *ids) if box not in taken)


def _with_place(document: Document, place: Table) -> Changed:
    return {**document, "place": [*entries_of(document, "place"), place]}


def _place(place: str, kind: PlaceKind, within: str, order: int) -> Table:
    name = place.replace("-", " ").capitalize()
    return {"id": place, "kind": kind.value, "in": within, "name": name, "order": order}
