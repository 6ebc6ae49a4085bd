"""Out, in and out again: the same bytes."""

from collections.abc import Iterator
from pathlib import Path
from shutil import copyfile
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.book.cell_guard import guarded, unguarded
from service.book.csv_reading import read_file
from service.book.csv_tables import CSV_TABLES, TABLES_BY_NAME
from service.book.csv_writing import written
from service.book.exporting import export_book
from service.book.folder import read_folder
from service.book.importing import import_book
from service.nests.book_rows import BookRows, ConditionNoteRow
from service.store.sql_book_copy import SqlBookCopy, Taken
from service.store.sql_records import Records, open_records
from tests.service.book.sound_books import HOSTILE, NOW, PLACES, sound_books, text
from tests.service.book.zone import ZONE


@pytest.fixture(scope="module")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An empty records.db, made once: its layout takes longer than a round trip."""
    folder = tmp_path_factory.mktemp("empty")
    records = open_records("sqlite:///records.db", folder)
    records.nest_book.put_places(PLACES)
    records.close()
    return folder / "records.db"


@pytest.fixture
def folder() -> Iterator[Path]:
    with TemporaryDirectory() as made:
        yield Path(made)


def fresh(file: Path, folder: Path) -> Records:
    folder.mkdir()
    copyfile(file, folder / "records.db")
    return open_records("sqlite:///records.db", folder)


def bytes_of(copy: SqlBookCopy, folder: Path) -> dict[str, bytes]:
    export_book(copy.rows(), folder)
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


@settings(
    max_examples=12,
    deadline=None,
    suppress_health_check=[
        HealthCheck.function_scoped_fixture,
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
    ],
)
@given(book=sound_books())
def test_export_import_export_gives_the_same_bytes(empty_file: Path, book: BookRows) -> None:
    with TemporaryDirectory() as made:
        folder = Path(made)
        first, second = fresh(empty_file, folder / "a"), fresh(empty_file, folder / "b")
        try:
            first.book_copy.take_in(lambda _: Taken(rows=book))
            before = bytes_of(first.book_copy, folder / "out")
            done = import_book(
                read_folder(folder / "out"), second.book_copy, PLACES, now=NOW, zone=ZONE
            )
            after = bytes_of(second.book_copy, folder / "again")
        finally:
            first.close()
            second.close()
    assert after == before
    assert sum(done.added.values()) == sum(len(rows) for rows in book.by_type.values())


@given(cell=text)
def test_a_guarded_cell_is_read_as_it_was_meant(cell: str) -> None:
    assert unguarded(guarded(cell)) == cell


# What a spreadsheet takes for a formula: OWASP, "CSV Injection", from memory.
@pytest.mark.parametrize("sign", ["=", "+", "-", "@", "\t", "\r", "\n"])
@given(rest=st.text(max_size=5))
def test_no_written_cell_begins_like_a_formula(sign: str, rest: str) -> None:
    assert guarded(sign + rest) == f"'{sign}{rest}"


@pytest.mark.parametrize("cell", ["'s Hertog", "O'Neill", "don't", "'"])
def test_an_apostrophe_that_somebody_typed_stays(cell: str) -> None:
    assert unguarded(cell) == cell


@pytest.mark.parametrize("words", [*HOSTILE, "x" * 40_000], ids=lambda words: ascii(words[:12]))
def test_hostile_text_comes_back_from_a_file_as_it_went(words: str) -> None:
    table = TABLES_BY_NAME["condition_notes"]
    row = ConditionNoteRow(note=1, bird=1, on=NOW.date(), text=words, by=words, noted_at=NOW)
    found = read_file(table, written(table, [row]))
    assert (found.faults, [one.row for one in found.rows]) == ((), [row])


def test_a_file_is_written_as_the_dialect_says() -> None:
    table = TABLES_BY_NAME["condition_notes"]
    row = ConditionNoteRow(note=1, bird=2, on=NOW.date(), text='a "b", c', noted_at=NOW)
    later = ConditionNoteRow(note=0, bird=2, on=NOW.date(), text="=1", by="A", noted_at=NOW)
    # RFC 4180, section 2: rules 1 (CRLF), 3 (header), 6 and 7 (quotes).
    assert written(table, [row, later]) == (
        b"note,bird,on,text,by,noted_at\r\n"
        b"0,2,2026-04-21,'=1,A,2026-04-21T12:30:00Z\r\n"
        b'1,2,2026-04-21,"a ""b"", c",,2026-04-21T12:30:00Z\r\n'
    )


def test_every_file_is_there_even_without_rows(folder: Path) -> None:
    export_book(BookRows({}), folder / "out")
    names = {path.name for path in (folder / "out").iterdir()}
    assert names == {table.file for table in CSV_TABLES} | {"columns.txt"}
