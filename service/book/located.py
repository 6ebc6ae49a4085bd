"""Rows with the file and the line that they came from."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar, cast

from service.book.csv_tables import CSV_TABLES
from service.book.errors import Fault
from service.nests.book_rows import BookRow, BookRows

R_co = TypeVar("R_co", bound=BookRow, covariant=True)
Wanted = TypeVar("Wanted", bound=BookRow)

_FILES = {table.row: table.file for table in CSV_TABLES}


@dataclass(frozen=True, slots=True)
class Located(Generic[R_co]):
    """``line`` is that on which the row begins; the header is line 1."""

    row: R_co
    line: int

    @property
    def file(self) -> str:
        """The file's name."""
        return file_of(type(self.row))

    @property
    def where(self) -> tuple[str, int]:
        """What tells this row from all others."""
        return self.file, self.line

    def fault(self, column: str, words: str) -> Fault:
        """Something that is wrong with this row."""
        return Fault(file=self.file, line=self.line, column=column, words=words)


@dataclass(frozen=True, slots=True)
class LocatedBook:
    """All rows of the files, by their type."""

    by_type: Mapping[type[BookRow], Sequence[Located[BookRow]]]

    def of(self, row: type[Wanted]) -> Sequence[Located[Wanted]]:
        """The rows of one file."""
        return cast(Sequence[Located[Wanted]], self.by_type.get(row, ()))

    def without(self, places: frozenset[tuple[str, int]]) -> "LocatedBook":
        """The book without the rows that stand there."""
        kept = {
            kind: tuple(one for one in rows if one.where not in places)
            for kind, rows in self.by_type.items()
        }
        return LocatedBook(kept)

    def rows(self) -> BookRows:
        """The rows alone."""
        found = {kind: tuple(one.row for one in rows) for kind, rows in self.by_type.items()}
        return BookRows(found)


def file_of(row: type[BookRow]) -> str:
    """The file in which rows of this type stand."""
    return _FILES[row]
