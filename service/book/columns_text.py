"""What the files and their columns mean, for whoever opens them. Pure."""

from collections.abc import Iterator
from textwrap import fill

from service.book.cells import Column, columns_of
from service.book.csv_tables import CSV_TABLES, TABLES_BY_NAME

_BEGINNING = """The nest book

One file a table: UTF-8, cells apart by commas, lines ending in CR LF, quotes doubled (RFC 4180).
The first line names the columns. An empty cell is nothing noted. Days are written 2026-04-21,
times in UTC as 2026-04-21T18:30:00Z, numbers with a decimal point. Lists stand in one cell,
their items apart by ";"; a ";", "," or "\\" that belongs to a ring or a sentence has a "\\" before
it. A cell that begins with = + - @ ' or a tab has a ' before it, so that no spreadsheet reckons
with it; it is taken off again when the book is read.

A time that nobody saw is two columns: the last look without it, and the first look with it.
"""


def columns_text() -> str:
    """The text of ``columns.txt``."""
    return _BEGINNING + "".join(f"\n{_of_table(table.name)}" for table in CSV_TABLES)


def _of_table(name: str) -> str:
    table = TABLES_BY_NAME[name]
    about = " ".join((table.row.__doc__ or "").replace("``", "").split())
    lines = [table.file, fill(about, 96), *_of_columns(columns_of(table.row))]
    return "\n".join(lines) + "\n"


def _of_columns(columns: tuple[Column, ...]) -> Iterator[str]:
    for column in columns:
        needed = "" if column.needed else ", or empty"
        if column.of is None:
            meaning = column.kind.words
        elif column.of == "places":
            meaning = "a place of the settings"
        else:
            table = TABLES_BY_NAME[column.of]
            meaning = f"a {table.key[0]} of {table.file}"
        yield f"  {column.name}: {meaning}{needed}"
