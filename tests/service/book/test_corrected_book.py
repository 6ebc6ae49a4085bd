"""A book in which much was moved, corrected and taken back goes out and comes in whole."""

import filecmp
from collections.abc import Iterator
from datetime import UTC
from pathlib import Path

import pytest

from service.book.exporting import export_book
from service.book.folder import read_folder
from service.book.importing import import_book
from service.nests.book_correction import Subject
from service.nests.nest import EggFate, EggLost, GuestSeen, Weighed
from service.store.sql_records import Records, open_records
from tests.service.store.fostering import LAST_DAY, TwoBoxes, at, two_boxes


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    yield opened
    opened.close()


def correct(shed: TwoBoxes, subject: Subject, number: int, fact: str, value: str | None) -> int:
    (told,) = shed.book.correct(subject, number, fact, value, at=LAST_DAY, by="Mara")
    return told.id


def tell(shed: TwoBoxes) -> None:
    """A move undone and done, an egg that never was, a chick that was none, a mass misread."""
    shed.lay("box-1", 4)
    second = shed.egg("box-1", 2)
    shed.foster(second, "box-1", "box-2", 8)
    move = shed.egg("box-1", 2).moves[0]
    taken_back = correct(shed, Subject.MOVE, move.id, "move", None)
    shed.book.undo(taken_back, at=LAST_DAY)
    shed.look("box-1", 8.5, 2, not_in_sight=(4,), weighed=(Weighed(egg_number=1, mass_g=21),))
    correct(shed, Subject.EGG, shed.egg("box-1", 4).id, "egg", None)
    (mass,) = shed.book.weighings_of(shed.clutch("box-1").id)
    correct(shed, Subject.WEIGHING, mass.id, "mass", None)
    shed.look("box-1", 20, 1, 1, hatched=(1,))
    egg = shed.egg("box-1", 1)
    chick = shed.clutch("box-1").chicks[0]
    ringed = f"HZ-26-001;{at(20).isoformat()}"
    ring = correct(shed, Subject.CHICK, chick.id, "ring", ringed)
    shed.book.undo(ring, at=LAST_DAY)
    between = f"{at(18).isoformat()};{at(20).isoformat()}"
    correct(shed, Subject.EGG, egg.id, "fate", f"addled;{between}")
    hatched = GuestSeen(egg_id=second.id, hatched=True)
    shed.look("box-2", 22, 0, 1, guests=(hatched,))
    shed.look("box-1", 23, 0, lost=(EggLost(number=3, fate=EggFate.CLEAR),))


def test_it_comes_back_byte_for_byte(records: Records, tmp_path: Path) -> None:
    tell(two_boxes(records.nest_book))
    first, second = tmp_path / "first", tmp_path / "second"
    export_book(records.book_copy.rows(), first)
    (tmp_path / "other").mkdir()
    other = open_records("sqlite:///records.db", tmp_path / "other")
    other.nest_book.put_places(records.nest_book.places())
    import_book(
        read_folder(first),
        other.book_copy,
        other.nest_book.places(),
        now=LAST_DAY,
        zone=UTC,
        skip_bad=False,
    )
    export_book(other.book_copy.rows(), second)
    names = [file.name for file in first.iterdir()]
    same, different, lacking = filecmp.cmpfiles(first, second, names, shallow=False)
    clutch = records.nest_book.nest("box-1").clutch
    again = other.nest_book.nest("box-1").clutch
    other.close()
    assert (sorted(same), different, lacking) == (sorted(names), [], [])
    assert again == clutch


def test_corrections_of_an_imported_book_can_still_be_undone(
    records: Records, tmp_path: Path
) -> None:
    tell(two_boxes(records.nest_book))
    export_book(records.book_copy.rows(), tmp_path / "first")
    (tmp_path / "other").mkdir()
    other = open_records("sqlite:///records.db", tmp_path / "other")
    other.nest_book.put_places(records.nest_book.places())
    import_book(
        read_folder(tmp_path / "first"),
        other.book_copy,
        other.nest_book.places(),
        now=LAST_DAY,
        zone=UTC,
        skip_bad=False,
    )
    book = other.nest_book
    clutch_id = book.clutches_in("box-1")[0].id
    mass = next(one for one in book.corrections(clutch_id) if one.subject is Subject.WEIGHING)
    book.undo(mass.id, at=LAST_DAY, by="Mara")
    masses = [one.mass_g for one in book.weighings_of(clutch_id)]
    other.close()
    assert masses == [21.0]
