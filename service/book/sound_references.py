"""Rows that are there twice, and rows that speak of others that are not there. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from operator import attrgetter

from service.book.cells import Column, columns_of
from service.book.csv_tables import CSV_TABLES, TABLES_BY_NAME
from service.book.errors import Fault
from service.book.left_out import LeftOut
from service.book.located import Located, LocatedBook
from service.book.plain_cells import shown
from service.nests.book_rows import (
    BirdRow,
    BookRow,
    CheckRow,
    ChickRow,
    CleanDownRow,
    EggRow,
    FitOutItemRow,
)
from service.nests.place import Place, PlaceKind

# What is there once only, besides the numbers. Nothing noted may be there often.
_ONCE: tuple[tuple[type[BookRow], tuple[str, ...]], ...] = (
    (BirdRow, ("ring",)),
    (EggRow, ("clutch", "number")),
    (ChickRow, ("egg",)),
    (ChickRow, ("ring",)),
    (CheckRow, ("form",)),
    (FitOutItemRow, ("kind", "name")),
    (CleanDownRow, ("season", "place", "what")),
)

_KINDS: Mapping[str, tuple[PlaceKind, ...]] = {
    "cage": (PlaceKind.CAGE, PlaceKind.FLIGHT),
    "box": (PlaceKind.BOX,),
    "from_box": (PlaceKind.BOX,),
    "to_box": (PlaceKind.BOX,),
}


def repeated(book: LocatedBook) -> Iterator[Fault]:
    """Numbers, rings and forms that are there twice, told at the later row."""
    own = [(table.row, table.key) for table in CSV_TABLES]
    for kind, columns in (*own, *_ONCE):
        seen: dict[object, Located[BookRow]] = {}
        for one in book.of(kind):
            value = attrgetter(*columns)(one.row)
            if value is None:
                continue
            first = seen.setdefault(value, one)
            if first is not one:
                told = " and ".join(columns)
                words = f"the same {told} stands on line {first.line} already"
                yield one.fault(columns[-1], words)


def faulty_references(
    book: LocatedBook, places: Sequence[Place], left_out: LeftOut
) -> Iterator[Fault]:
    """Numbers of rows, and places, that nobody knows."""
    known = {
        table.name: {getattr(one.row, table.key[0]) for one in book.of(table.row)}
        for table in CSV_TABLES
    }
    kinds = {place.id: place.kind for place in places}
    for table in CSV_TABLES:
        speaking = [column for column in columns_of(table.row) if column.of is not None]
        for one in book.of(table.row):
            for column in speaking:
                value = getattr(one.row, column.name)
                if value is None:
                    continue
                words = (
                    _place_fault(column.name, value, kinds)
                    if column.of == "places"
                    else _row_fault(column, value, known, left_out)
                )
                if words:
                    yield one.fault(column.name, words)


def _place_fault(column: str, place: str, kinds: Mapping[str, PlaceKind]) -> str:
    allowed = _KINDS.get(column, ())
    if place not in kinds:
        possible = [known for known, kind in kinds.items() if not allowed or kind in allowed]
        return (
            f"there is no place {shown(place)} in the settings; there are "
            f"{', '.join(possible) or 'none of that kind'}"
        )
    if allowed and kinds[place] not in allowed:
        return f"{place} is a {kinds[place]}, and this must be a {' or a '.join(allowed)}"
    return ""


def _row_fault(
    column: Column, number: object, known: Mapping[str, set[object]], left_out: LeftOut
) -> str:
    table = column.of or ""
    if number in known[table]:
        return ""
    name = TABLES_BY_NAME[table].key[0]
    if left_out.holds(table, number):
        return "" if left_out.told else f"{name} {number}, on which it rests, is left out"
    return f"there is no {name} {number} in {TABLES_BY_NAME[table].file}"
