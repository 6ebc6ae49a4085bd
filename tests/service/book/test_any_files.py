"""Whatever stands in the files: it is taken whole, or refused in words; nothing between."""

import csv
from io import StringIO
from pathlib import Path
from shutil import copyfile
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.book.csv_reading import read_file
from service.book.csv_tables import CSV_TABLES, CsvTable
from service.book.errors import BookFaultsError
from service.book.exporting import export_book
from service.book.folder import read_folder
from service.book.importing import import_book
from service.store.sql_records import open_records
from tests.service.book.sound_books import NOW, PLACES
from tests.service.book.test_faults import SOUND
from tests.service.book.zone import ZONE

# Values that are right in one column or another, and some that are right in none.
CELLS = (
    "",
    "0",
    "1",
    "2",
    "3",
    "4",
    "99",
    "-1",
    "A1",
    "cage-1",
    "box-1",
    "box-2",
    "shed",
    "hen",
    "cock",
    "clear",
    "hatched",
    "fertile",
    "2025-03-14",
    "2025-03-14T18:00:00Z",
    "2030-01-01",
    "9999-12-31T23:59:59-14:00",
    "0001-01-01T00:00:00+14:00",
    "1;2",
    "1:clear;1:clear",
    "1:=",
    "=",
    "1e400",
    "nan",
)


@st.composite
def changed_books(draw: st.DrawFn) -> dict[str, str]:
    """The sound book with up to three cells changed, and perhaps a row twice or gone."""
    tables = {name: list(csv.reader(StringIO(text))) for name, text in SOUND.items()}
    for _ in range(draw(st.integers(1, 3))):
        rows = tables[draw(st.sampled_from(sorted(tables)))]
        row = draw(st.integers(1, len(rows) - 1))
        rows[row][draw(st.integers(0, len(rows[row]) - 1))] = draw(st.sampled_from(CELLS))
    rows = tables[draw(st.sampled_from(sorted(tables)))]
    match draw(st.sampled_from(["none", "none", "twice", "gone"])):
        case "twice":
            rows.append(rows[-1])
        case "gone":
            del rows[draw(st.integers(1, len(rows) - 1))]
        case _:
            pass
    return {name: "\n".join(map(",".join, rows)) + "\n" for name, rows in tables.items()}


@pytest.fixture(scope="module")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("empty")
    records = open_records("sqlite:///records.db", folder)
    records.nest_book.put_places(PLACES)
    records.close()
    return folder / "records.db"


@settings(max_examples=60, deadline=None)
@given(book=changed_books(), skip_bad=st.booleans())
def test_a_changed_book_is_refused_in_words_or_goes_out_again(
    empty_file: Path, book: dict[str, str], skip_bad: bool
) -> None:
    """The records never have to say what was not said of a row and a column before."""
    with TemporaryDirectory() as made:
        folder = Path(made)
        copyfile(empty_file, folder / "records.db")
        for name, text in book.items():
            (folder / f"{name}.csv").write_text(text)
        records = open_records("sqlite:///records.db", folder)
        try:
            copy = records.book_copy
            read = read_folder(folder)
            try:
                import_book(read, copy, PLACES, now=NOW, zone=ZONE, skip_bad=skip_bad)
            except BookFaultsError as refused:
                named = [bool(fault.line and fault.words) for fault in refused.faults]
                assert (skip_bad, all(named)) == (False, True)
                return
            export_book(copy.rows(), folder / "out")
            again = import_book(read_folder(folder / "out"), copy, PLACES, now=NOW, zone=ZONE)
        finally:
            records.close()
    assert again.added == {}


@pytest.mark.parametrize("table", CSV_TABLES, ids=lambda table: str(table.name))
@given(content=st.binary(max_size=60) | st.text(max_size=60).map(lambda text: text.encode()))
def test_any_bytes_are_read_or_named(table: CsvTable, content: bytes) -> None:
    found = read_file(table, content)
    assert found.rows == ()
    assert found.faults


@pytest.mark.parametrize("table", CSV_TABLES, ids=lambda table: str(table.name))
@given(rest=st.text(max_size=60))
def test_any_rows_after_a_header_are_read_or_named(table: CsvTable, rest: str) -> None:
    content = f"{','.join(table.columns)}\r\n{rest}".encode()
    found = read_file(table, content)
    assert found.rows or found.faults or not rest.strip("\r\n")
