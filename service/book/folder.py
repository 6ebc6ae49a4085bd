"""A folder of the book's files, read whole."""

import os
import stat
from dataclasses import dataclass
from pathlib import Path

from service.book.csv_reading import read_file
from service.book.csv_tables import CSV_TABLES
from service.book.errors import Fault, in_order
from service.book.left_out import LeftOut
from service.book.located import Located, LocatedBook
from service.errors import InputError
from service.nests.book_rows import BookRow

LARGEST_FILE = 200 * 1024 * 1024
"""Of one file, in bytes: a lifetime of looks is a tenth of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadFolder:
    """Rows that could be read, and what is wrong with the others."""

    book: LocatedBook
    faults: tuple[Fault, ...]
    left_out: LeftOut


def read_folder(folder: Path) -> ReadFolder:
    """Read every file of the book that is there.

    A file ``*.csv`` of another name is a fault: what was meant would be missing without a word.

    Raises:
        InputError: no such folder, none of the files in it, or one that can't be opened.
    """
    if not folder.is_dir():
        raise InputError(f"{folder}: there is no such folder")
    names = sorted(path.name for path in folder.glob("*.csv"))
    ours = {table.file for table in CSV_TABLES}
    if not ours & set(names):
        raise InputError(f"{folder}: no file of a book is in it; there can be {_known()}")
    faults = [
        Fault(file=name, words=f"it is no file of a book; there can be {_known()}")
        for name in names
        if name not in ours
    ]
    rows: dict[type[BookRow], tuple[Located[BookRow], ...]] = {}
    broken: dict[str, frozenset[object]] = {}
    unread: set[str] = set()
    for table in CSV_TABLES:
        if table.file not in names:
            continue
        found = read_file(table, _content(folder / table.file))
        rows[table.row] = found.rows
        broken[table.name] = found.broken
        faults += found.faults
        if not found.whole:
            unread.add(table.name)
    left_out = LeftOut(numbers=broken, unread=frozenset(unread), told=True)
    return ReadFolder(book=LocatedBook(rows), faults=tuple(in_order(faults)), left_out=left_out)


def _known() -> str:
    return ", ".join(table.file for table in CSV_TABLES)


def _content(file: Path) -> bytes:
    try:
        content = _read(file)
    except OSError as error:
        raise InputError(f"{file}: it can't be read: {error.strerror}") from error
    if len(content) > LARGEST_FILE:
        raise InputError(f"{file}: it is larger than 200 MB, which is no file of a book")
    return content


def _read(file: Path) -> bytes:
    """At most one byte too many. A pipe would keep us waiting, and a device has no end."""
    with os.fdopen(os.open(file, os.O_RDONLY | os.O_NONBLOCK), "rb") as opened:
        if not stat.S_ISREG(os.fstat(opened.fileno()).st_mode):
            raise InputError(f"{file}: it is no file that could hold a table")
        return opened.read(LARGEST_FILE + 1)
