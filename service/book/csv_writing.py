"""Rows as the bytes of a CSV file. Pure."""

import csv
from collections.abc import Sequence
from dataclasses import fields
from io import StringIO
from operator import attrgetter

from service.book.cell_guard import guarded
from service.book.cells import columns_of
from service.book.csv_tables import CsvTable
from service.nests.book_rows import BookRow


def written(table: CsvTable, rows: Sequence[BookRow]) -> bytes:
    """The whole file: header, then the rows in key order.

    A NUL, which no page lets in and no CSV file can carry safely, is left out of the text:
    ``with_nought`` tells of which.
    """
    told = StringIO(newline="")
    writer = csv.writer(told, lineterminator="\r\n", quoting=csv.QUOTE_MINIMAL)
    writer.writerow(table.columns)
    writer.writerows(cells_of(row) for row in sorted(rows, key=attrgetter(*table.key)))
    return told.getvalue().encode("utf-8")


def with_nought(table: CsvTable, rows: Sequence[BookRow]) -> tuple[str, ...]:
    """The cells that are written without a NUL that stands in them, each with its row."""
    kinds = {column.name: column for column in columns_of(table.row)}
    return tuple(
        f"{table.file}, {table.key[0]} {getattr(row, table.key[0])}, {name}"
        for row in rows
        for name, kind in kinds.items()
        if "\0" in kind.write(getattr(row, name))
    )


def cells_of(row: BookRow) -> list[str]:
    """The cells of one row as they are written, in the order of the columns."""
    kinds = columns_of(type(row))
    values = (getattr(row, field.name) for field in fields(row))
    return [
        guarded(column.write(value).replace("\0", ""))
        for column, value in zip(kinds, values, strict=True)
    ]
