"""Sizes and fit-out lists in a real SQLite file."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from service.errors import NotKnownError
from service.nests.fit_out import Size
from service.nests.place import PlaceKind
from service.store.sql_records import Records, open_records
from tests.service.store.nest_book_contract import NOON, PLACES

CAGE = Size(width_cm=60, depth_cm=40, height_cm=40)  # common practice, no source
BOX = Size(width_cm=17, depth_cm=24, height_cm=20.5)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    opened.nest_book.put_places(PLACES)
    yield opened
    opened.close()


def item_ids(records: Records, kind: PlaceKind = PlaceKind.CAGE) -> dict[str, int]:
    return {one.name: one.id for one in records.cages.items() if one.kind is kind}


def test_sizes_come_back_and_an_unmeasured_place_has_none(records: Records) -> None:
    records.cages.put_sizes({"cage-1": CAGE, "box-1": BOX})
    records.cages.put_sizes({"cage-1": None, "cage-2": CAGE})
    assert records.cages.sizes() == {"cage-2": CAGE, "box-1": BOX}


def test_a_size_of_an_unknown_place_is_refused_with_all_others(records: Records) -> None:
    with pytest.raises(NotKnownError, match="cage-9"):
        records.cages.put_sizes({"cage-1": CAGE, "cage-9": CAGE})
    assert records.cages.sizes() == {}


def test_a_list_is_put_in_a_new_order_and_keeps_what_was_seen(records: Records) -> None:
    records.cages.put_items(PlaceKind.CAGE, ["perches", "water", "seed"])
    records.cages.put_items(PlaceKind.BOX, ["water"])
    ids = item_ids(records)
    records.cages.put_seen("cage-1", {ids["water"]: True, ids["seed"]: False}, by="Jo", at=NOON)
    records.cages.put_items(PlaceKind.CAGE, ["water", "bath", "perches"])
    assert list(item_ids(records)) == ["water", "bath", "perches"]
    assert item_ids(records)["water"] == ids["water"]
    assert len(item_ids(records, PlaceKind.BOX)) == 1
    assert [(one.item_id, one.there) for one in records.cages.seen()] == [(ids["water"], True)]


def test_the_newest_look_is_kept_and_others_stay(records: Records) -> None:
    records.cages.put_items(PlaceKind.CAGE, ["perches", "water"])
    perches, water = item_ids(records).values()
    records.cages.put_seen("cage-1", {perches: True, water: True}, by="Jo", at=NOON)
    later = NOON + timedelta(hours=1)
    records.cages.put_seen("cage-1", {water: False}, by="Ida", at=later)
    told = {one.item_id: (one.there, one.at, one.by) for one in records.cages.seen()}
    assert told == {perches: (True, NOON, "Jo"), water: (False, later, "Ida")}


def test_an_item_of_another_kind_of_place_is_refused(records: Records) -> None:
    records.cages.put_items(PlaceKind.BOX, ["bedding"])
    (bedding,) = item_ids(records, PlaceKind.BOX).values()
    with pytest.raises(NotKnownError, match="a cage has no item"):
        records.cages.put_seen("cage-1", {bedding: True}, by=None, at=NOON)
    with pytest.raises(NotKnownError, match="no place"):
        records.cages.put_seen("cage-9", {bedding: True}, by=None, at=NOON)
    assert list(records.cages.seen()) == []


def test_size_and_fit_out_go_with_a_place_that_is_taken_away(records: Records) -> None:
    records.cages.put_items(PlaceKind.BOX, ["bedding"])
    (bedding,) = item_ids(records, PlaceKind.BOX).values()
    records.cages.put_seen("box-1", {bedding: True}, by=None, at=NOON)
    records.cages.put_sizes({"box-1": BOX})
    records.nest_book.remove_places(["box-1"])
    assert list(records.cages.seen()) == []
    assert records.cages.sizes() == {}
