"""The bytes of a CSV file as rows, with every fault at once. Pure."""

import csv
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import StringIO

from service.book.cell_guard import unguarded
from service.book.cells import Column, columns_of
from service.book.csv_tables import CsvTable
from service.book.errors import Fault
from service.book.located import Located
from service.book.plain_cells import shown
from service.nests.book_rows import BookRow

_MARK = "\ufeff"
_LONGEST = "a cell holds at most 131,072 characters"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadFile:
    """Rows that could be read, and what is wrong with the others.

    ``broken`` are the numbers of rows that could not be read but for that, None among them where
    not even that could be; ``whole`` is False
    where even the rows can't be told apart, so that nobody knows what is in the file.
    """

    rows: tuple[Located[BookRow], ...] = ()
    faults: tuple[Fault, ...] = ()
    broken: frozenset[object] = frozenset()
    whole: bool = True


def read_file(table: CsvTable, content: bytes) -> ReadFile:
    """Read one file. Line ends may be LF too, columns may stand in any order, and a byte order
    mark is passed over: spreadsheets write such files.

    A file whose text or header can't be made out has no rows and one fault.
    """
    try:
        text = content.decode("utf-8").removeprefix(_MARK)
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        words = "these bytes are no UTF-8; save the file as UTF-8"
        return ReadFile(faults=(Fault(file=table.file, line=line, words=words),), whole=False)
    return _Reading(table).read(text)


class _Reading:
    def __init__(self, table: CsvTable) -> None:
        self._table = table
        self._faults: list[Fault] = []
        self._rows: list[Located[BookRow]] = []
        self._broken: set[object] = set()
        self._whole = True

    def read(self, text: str) -> ReadFile:
        lines = self._lines(text)
        header = next(lines, None)
        if header is None:
            if not self._faults:
                self._say(1, "", f"it is empty; its first line is {','.join(self._table.columns)}")
            self._whole = False
        elif self._is_header(header[1]):
            order = self._columns(header[1])
            for line, cells in lines:
                self._row(line, cells, order)
        else:
            self._whole = False
        return ReadFile(
            rows=tuple(self._rows),
            faults=tuple(self._faults),
            broken=frozenset(self._broken),
            whole=self._whole,
        )

    def _lines(self, text: str) -> Iterator[tuple[int, list[str]]]:
        """Records with the line on which each begins; blank lines are passed over."""
        reader = csv.reader(StringIO(text, newline=""), strict=True)
        begins = 1
        while True:
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                self._say(begins, "", _in_words(error))
                self._whole = False
                return
            if cells:
                yield begins, cells
            begins = reader.line_num + 1

    def _is_header(self, names: Sequence[str]) -> bool:
        known = self._table.columns
        faults = len(self._faults)
        if len(names) == 1 and len(known) > 1 and (";" in names[0] or "\t" in names[0]):
            self._say(1, "", "its cells are not apart by commas; save it as comma-separated")
            return False
        for name in names:
            if name not in known:
                self._say(1, name, f"no such column; there are {', '.join(known)}")
            elif names.count(name) > 1:
                self._say(1, name, "the column is there twice")
        for column in columns_of(self._table.row):
            if column.needed and column.name not in names:
                self._say(1, column.name, "this column is missing")
        return len(self._faults) == faults

    def _columns(self, names: Sequence[str]) -> list[Column]:
        by_name = {column.name: column for column in columns_of(self._table.row)}
        return [by_name[name] for name in names]

    def _row(self, line: int, cells: Sequence[str], order: Sequence[Column]) -> None:
        if len(cells) != len(order):
            words = f"{len(cells)} cells, and the header names {len(order)} columns"
            self._say(line, "", words)
            self._broken.add(None)
            return
        values: dict[str, object] = {}
        for column, cell in zip(order, cells, strict=True):
            try:
                values[column.name] = column.read(unguarded(cell))
            except ValueError as error:
                self._say(line, column.name, str(error))
        if len(values) == len(order):
            self._rows.append(Located(_made(self._table, values), line))
        else:
            self._broken.add(values.get(self._table.key[0]))

    def _say(self, line: int, column: str, words: str) -> None:
        name = column if len(column) <= 40 else shown(column)
        self._faults.append(Fault(file=self._table.file, line=line, column=name, words=words))


def _made(table: CsvTable, values: Mapping[str, object]) -> BookRow:
    """A row of values that its columns have read, each of the type that its field has."""
    make: Callable[..., BookRow] = table.row
    return make(**values)


def _in_words(error: csv.Error) -> str:
    told = str(error)
    if "field limit" in told:
        return f"a cell is too long; {_LONGEST}. Nothing after it was read"
    if "unexpected end" in told:
        return "a quote is opened here and never closed. Nothing after it was read"
    return "after a closing quote comes a comma or the end of the line. Nothing after it was read"
