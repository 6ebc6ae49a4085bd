"""Places that leave the nest book, and those that can't."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

import pytest

from service.errors import InputError
from service.nests.nest import HenSeen, NestCheck
from service.nests.place import Place, PlaceKind
from service.store.sql_nest_book import SqlNestBook
from service.store.sql_records import open_records

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
PLACES = [
    Place(id="shed", kind=PlaceKind.SHED, name="Shed"),
    Place(id="cage-1", kind=PlaceKind.CAGE, name="Cage 1", within="shed", order=1),
    Place(id="box-1", kind=PlaceKind.BOX, name="Box 1", within="cage-1", order=2),
    Place(id="box-2", kind=PlaceKind.BOX, name="Box 2", within="shed", order=3),
]


@pytest.fixture
def book(tmp_path: Path) -> Iterator[SqlNestBook]:
    records = open_records("sqlite:///records.db", tmp_path)
    records.nest_book.put_places(PLACES)
    yield records.nest_book
    records.close()


def ids(book: SqlNestBook) -> list[str]:
    return [place.id for place in book.places()]


def test_places_without_a_history_leave_together(book: SqlNestBook) -> None:
    book.remove_places(["cage-1", "box-1"])
    assert ids(book) == ["shed", "box-2"]


def test_a_place_in_which_another_stands_stays(book: SqlNestBook) -> None:
    with pytest.raises(InputError, match="cage-1 can't be removed: box-1 stands in it"):
        book.remove_places(["cage-1"])
    assert len(ids(book)) == 4


def test_of_several_none_leaves_where_one_has_a_history(book: SqlNestBook) -> None:
    check = NestCheck(form_id=uuid4(), box="box-2", at=NOON, eggs=0, chicks=0, hen=HenSeen.NOT_SEEN)
    book.record(check, None)
    with pytest.raises(InputError, match="box-2 can't be removed: it was looked into"):
        book.remove_places(["box-1", "box-2"])
    assert len(ids(book)) == 4


def test_a_place_that_is_not_there_is_passed_over(book: SqlNestBook) -> None:
    book.remove_places(["box-9"])
    assert len(ids(book)) == 4
