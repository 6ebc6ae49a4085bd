"""Into an empty book, into the same book, and into another one."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from service.book.errors import BookFaultsError, OtherBookError
from service.book.exporting import export_book
from service.book.folder import read_folder
from service.book.importing import Imported, import_book
from service.errors import InputError
from service.nests.nest import Sex
from service.nests.place import PlaceKind
from service.nests.species import DaySpan, SpeciesSettings
from service.store.sql_records import Records, open_records
from tests.service.book.sound_books import NOW, PLACES
from tests.service.book.zone import ZONE


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    opened.nest_book.put_places(PLACES)
    yield opened
    opened.close()


@pytest.fixture
def out(records: Records, tmp_path: Path) -> Path:
    """A book of two birds and a pair, and its files."""
    cock = records.nest_book.add_bird(sex=Sex.COCK, ring="A1")
    hen = records.nest_book.add_bird(sex=Sex.HEN, ring="A2")
    records.nest_book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=date(2026, 3, 1))
    export_book(records.book_copy.rows(), tmp_path / "out")
    return tmp_path / "out"


def take_in(folder: Path, records: Records) -> Imported:
    return import_book(read_folder(folder), records.book_copy, PLACES, now=NOW, zone=ZONE)


def add(file: Path, row: str) -> None:
    file.write_bytes(file.read_bytes() + row.encode() + b"\r\n")


def test_the_same_files_twice_add_nothing(records: Records, out: Path) -> None:
    done = take_in(out, records)
    assert (done.added, done.stood) == ({}, 3)


def test_rows_that_were_added_to_the_same_book_are_taken(records: Records, out: Path) -> None:
    add(out / "birds.csv", "7,=A7,,hen,,,1,2,,alive,")
    assert take_in(out, records).added == {"birds": 1}
    assert records.nest_book.birds()[-1].ring == "=A7"
    assert records.nest_book.birds()[-1].sire_id == 1


def test_a_cell_that_differs_from_what_stands_is_refused(records: Records, out: Path) -> None:
    file = out / "birds.csv"
    file.write_text(file.read_text().replace("A2", "A9"))
    with pytest.raises(OtherBookError, match=r"birds\.csv, bird 2, ring: the records say 'A2'"):
        take_in(out, records)
    assert [bird.ring for bird in records.nest_book.birds()] == ["A1", "A2"]


def test_files_that_lack_what_stands_are_refused(records: Records, out: Path) -> None:
    """Another book with other numbers would run into this one."""
    (out / "pairs.csv").unlink()
    (out / "birds.csv").write_text("bird,sex\n11,hen\n")
    with pytest.raises(OtherBookError, match="bird 1: it stands in the records and is not in"):
        take_in(out, records)
    assert len(records.nest_book.birds()) == 2


def test_an_export_that_the_book_has_left_behind_is_refused(records: Records, out: Path) -> None:
    records.nest_book.add_bird(sex=Sex.HEN)
    with pytest.raises(OtherBookError, match="has gone on since"):
        take_in(out, records)


def test_a_new_shed_with_its_spans_and_fit_out_is_empty(records: Records, tmp_path: Path) -> None:
    records.nest_book.put_species(SpeciesSettings())
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "species.csv").write_text(
        "span,least,most,source\nnext_egg_after_egg,1,3,own\n"
    )
    (tmp_path / "in" / "fit_out_items.csv").write_text("item,kind,name,position\n1,cage,Grit,0\n")
    take_in(tmp_path / "in", records)
    told = records.nest_book.species().next_egg_after_egg
    assert told == DaySpan(least=1, most=3, source="own")


def test_an_import_that_says_nothing_of_spans_leaves_them(records: Records, tmp_path: Path) -> None:
    changed = SpeciesSettings(next_egg_after_egg=DaySpan(least=1, most=4))
    records.nest_book.put_species(changed)
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "birds.csv").write_text("bird,sex\n1,hen\n")
    take_in(tmp_path / "in", records)
    assert records.nest_book.species() == changed


def test_a_form_that_was_open_meanwhile_is_asked_anew(records: Records, out: Path) -> None:
    before = records.nest_book.nest("box-1").revision
    add(out / "birds.csv", "7,A7,,hen,,,,,,alive,")
    take_in(out, records)
    assert records.nest_book.nest("box-1").revision > before


def test_places_are_those_of_the_settings(records: Records, out: Path) -> None:
    fewer = [place for place in PLACES if place.kind is not PlaceKind.CAGE]
    read = read_folder(out)
    with pytest.raises(BookFaultsError, match=r"pairs.csv, line 2, cage: there is no place 'cage-"):
        import_book(read, records.book_copy, fewer, now=NOW, zone=ZONE)


def test_nothing_is_written_over(records: Records, out: Path) -> None:
    before = (out / "birds.csv").read_bytes()
    with pytest.raises(InputError, match="something is in it already"):
        export_book(records.book_copy.rows(), out)
    assert (out / "birds.csv").read_bytes() == before


def test_the_columns_are_told_beside_the_files(out: Path) -> None:
    told = (out / "columns.txt").read_text()
    assert "  sire: a bird of birds.csv, or empty" in told
    assert "  hen: sitting or in the box or off the nest or not seen, or empty" in told
