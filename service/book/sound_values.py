"""Numbers that can't be. Pure."""

from collections.abc import Iterator
from dataclasses import fields

from service.book.csv_tables import CSV_TABLES
from service.book.errors import Fault
from service.book.located import LocatedBook
from service.nests.book_rows import (
    BookRow,
    CageSizeRow,
    ClutchRow,
    EggRow,
    MoveRow,
    SpanRow,
    WeighingRow,
)

_ABOVE_NOUGHT: tuple[tuple[type[BookRow], str], ...] = (
    (ClutchRow, "round"),
    (EggRow, "number"),
    (EggRow, "length_mm"),
    (EggRow, "breadth_mm"),
    (WeighingRow, "mass_g"),
    (CageSizeRow, "width_cm"),
    (CageSizeRow, "depth_cm"),
    (CageSizeRow, "height_cm"),
)


def faulty_values(book: LocatedBook) -> Iterator[Fault]:
    """Numbers that must be more than nought, and the few other bounds."""
    numbered = [
        (table.row, table.key[0])
        for table in CSV_TABLES
        if fields(table.row)[0].type in (int, "int") and len(table.key) == 1
    ]
    for kind, column in (*numbered, *_ABOVE_NOUGHT):
        for one in book.of(kind):
            value = getattr(one.row, column)
            if value is not None and value <= 0:
                yield one.fault(column, f"{value:g} can't be; it must be more than 0")
    yield from _bounds(book)


def _bounds(book: LocatedBook) -> Iterator[Fault]:
    for span in book.of(SpanRow):
        # The one span that counts eggs: a hen sits from the first on at the earliest.
        if span.row.span == "eggs_before_sitting" and span.row.least < 1:
            yield span.fault("least", f"there is no egg {span.row.least:g}; it must be 1 or more")
        elif span.row.least < 0:
            yield span.fault("least", f"{span.row.least:g} days can't be; it must be 0 or more")
    for move in book.of(MoveRow):
        if move.row.from_box == move.row.to_box:
            yield move.fault("to_box", "a move leads into another box")
    for weighing in book.of(WeighingRow):
        if (weighing.row.egg is None) == (weighing.row.bird is None):
            yield weighing.fault("egg", "a weighing is of one egg or of one bird, not of both")
