"""A folder of CSV files into the records, whole or not at all.

Into an empty book everything is taken. A book that has rows takes only its own continuation:
every row that stands must be in the files, cell for cell, and what is new is added. So nothing
that stands is changed behind the keeper's back (a correction on a page keeps what stood before,
and a file would not), two books never run into one by having the same small numbers, and the
same import twice adds nothing.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, tzinfo
from operator import attrgetter

from service.book.csv_tables import CSV_TABLES, CsvTable
from service.book.csv_writing import cells_of
from service.book.errors import BookFaultsError, Fault, OtherBookError, in_order
from service.book.folder import ReadFolder
from service.book.left_out import LeftOut
from service.book.located import LocatedBook
from service.book.sound import Surroundings, faults_of, first_faults_of
from service.nests.book_rows import BookRow, BookRows, FitOutItemRow, SpanRow
from service.nests.place import Place
from service.store.sql_book_copy import SqlBookCopy, Taken

_MOST_TOLD = 20

# What a new shed has before anybody wrote into its book.
_THERE_FROM_THE_START = (SpanRow, FitOutItemRow)


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """``added`` counts rows by table, those without any left out. ``left_out`` says why, row by
    row; ``stood`` counts rows that were there already.
    """

    added: Mapping[str, int]
    stood: int
    left_out: tuple[Fault, ...] = ()


def import_book(
    read: ReadFolder,
    copy: SqlBookCopy,
    places: Sequence[Place],
    *,
    now: datetime,
    zone: tzinfo,
    skip_bad: bool = False,
) -> Imported:
    """Take the files into the records in one transaction.

    ``skip_bad`` leaves out rows at fault, and those that rest on them.

    Raises:
        BookFaultsError: something is at fault; with ``skip_bad``: a whole file is.
        OtherBookError: the records hold another book.
        StoreUnavailableError: the records stayed busy.
    """
    around = Surroundings(places=places, now=now, zone=zone, left_out=read.left_out)
    book = read.book
    left_out: tuple[Fault, ...] = ()
    if skip_bad:
        book, left_out = _without_bad(read, around)
    elif faults := in_order((*read.faults, *faults_of(book, around))):
        raise BookFaultsError(faults)
    rows = book.rows()
    added: Counter[str] = Counter()
    stood = 0

    def choose(standing: BookRows) -> Taken:
        nonlocal stood
        taken = _into_empty(rows) if _is_empty(standing) else _added(rows, standing)
        added.clear()
        added.update({table.name: len(taken.rows.of(table.row)) for table in CSV_TABLES})
        stood = sum(len(rows.of(table.row)) for table in CSV_TABLES) - added.total()
        return taken

    copy.take_in(choose)
    return Imported(added=+added, stood=stood, left_out=left_out)


def _without_bad(read: ReadFolder, around: Surroundings) -> tuple[LocatedBook, tuple[Fault, ...]]:
    """The sound rest of a book, and why each other row is not in it.

    A file that can't be told apart into rows can't be left out row by row.
    """
    whole = [fault for fault in read.faults if _is_of_a_file(fault, read)]
    if whole:
        raise BookFaultsError(whole)
    book, told = read.book, list(read.faults)
    left_out = {name: set(numbers) for name, numbers in read.left_out.numbers.items()}
    while True:
        known = {name: frozenset(numbers) for name, numbers in left_out.items()}
        faults = first_faults_of(book, replace(around, left_out=LeftOut(numbers=known)))
        if not faults:
            return book, tuple(in_order(told))
        told += faults
        bad = frozenset((fault.file, fault.line or 0) for fault in faults)
        for table in CSV_TABLES:
            for one in book.of(table.row):
                if one.where in bad:
                    left_out.setdefault(table.name, set()).add(getattr(one.row, table.key[0]))
        book = book.without(bad)


def _is_of_a_file(fault: Fault, read: ReadFolder) -> bool:
    return fault.line is None or fault.file.removesuffix(".csv") in read.left_out.unread


def _is_empty(standing: BookRows) -> bool:
    return not any(
        standing.of(table.row) for table in CSV_TABLES if table.row not in _THERE_FROM_THE_START
    )


def _into_empty(rows: BookRows) -> Taken:
    """Everything. Spans and the list of what belongs into a cage replace those of a new shed."""
    cleared = frozenset(kind for kind in _THERE_FROM_THE_START if rows.of(kind))
    return Taken(rows=rows, cleared=cleared)


def _added(rows: BookRows, standing: BookRows) -> Taken:
    differing = list(_differing(rows, standing))
    if differing:
        told = "\n".join(differing[:_MOST_TOLD])
        if len(differing) > _MOST_TOLD:
            told += f"\n... and {len(differing) - _MOST_TOLD} more"
        raise OtherBookError(
            "Nothing was imported: the records hold a book already, and it is not the one in the "
            f"files, or has gone on since.\n{told}\n"
            "An import adds to the same book and changes nothing that stands. Correct what stands "
            "on its page; to go on from the present book, export it anew and add to that."
        )
    new: dict[type[BookRow], tuple[BookRow, ...]] = {}
    for table in CSV_TABLES:
        key = attrgetter(*table.key)
        there = {key(row) for row in standing.of(table.row)}
        new[table.row] = tuple(row for row in rows.of(table.row) if key(row) not in there)
    return Taken(rows=BookRows(new))


def _differing(rows: BookRows, standing: BookRows) -> Iterator[str]:
    for table in CSV_TABLES:
        if table.row in _THERE_FROM_THE_START and not rows.of(table.row):
            continue
        key = attrgetter(*table.key)
        in_files = {key(row): row for row in rows.of(table.row)}
        for row in standing.of(table.row):
            yield from _difference(table, row, in_files.get(key(row)))


def _difference(table: CsvTable, standing: BookRow, told: BookRow | None) -> Iterator[str]:
    named = f"{table.file}, " + ", ".join(
        f"{column} {getattr(standing, column)}" for column in table.key
    )
    if told is None:
        yield f"{named}: it stands in the records and is not in the files"
        return
    for column, before, after in zip(
        table.columns, cells_of(standing), cells_of(told), strict=True
    ):
        if before != after:
            yield f"{named}, {column}: the records say {before!r}, the files {after!r}"
