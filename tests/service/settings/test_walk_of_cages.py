"""Nine cages, all alike: made, made more, made fewer."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.errors import InputError
from service.nests.place import PlaceKind
from service.settings import edits
from service.settings.in_force import examine
from service.settings.kept import names_in
from service.settings.walk_of_cages import with_cages
from tests.service.settings.editing_shed import EditingShed, editing_in


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[EditingShed]:
    with editing_in(tmp_path) as opened:
        yield opened


def ids(document: Any) -> list[str]:
    return [place["id"] for place in document["place"]]


def test_nine_cages_have_nine_boxes_in_walking_order(shed: EditingShed) -> None:
    places = shed.do(edits.cages(count=9)).places
    assert [place.id for place in places] == [
        "shed",
        *(f"{kind}-{n}" for n in range(1, 10) for kind in ("cage", "box")),
    ]
    assert [place.name for place in places[1:5]] == ["Cage 1", "Box 1", "Cage 2", "Box 2"]
    assert {place.within for place in places if place.kind is PlaceKind.CAGE} == {"shed"}
    assert all(place.within == place.id.replace("box", "cage") for place in places[2::2])


def test_the_boxes_are_in_the_nest_book_at_once(shed: EditingShed) -> None:
    shed.do(edits.cages(count=3))
    assert [nest.box.id for nest in shed.records.nest_book.nests()] == ["box-1", "box-2", "box-3"]


def test_more_cages_leave_the_first_as_they_are(shed: EditingShed) -> None:
    shed.do(edits.cages(count=2), edits.rename_place("box-2", "Corner box"))
    places = shed.do(edits.cages(count=3)).places
    assert [place.name for place in places if place.kind is PlaceKind.BOX] == [
        "Box 1",
        "Corner box",
        "Box 3",
    ]


def test_fewer_cages_take_the_last_away_from_the_nest_book_too(shed: EditingShed) -> None:
    shed.do(edits.cages(count=4), edits.cages(count=2))
    assert [nest.box.id for nest in shed.records.nest_book.nests()] == ["box-1", "box-2"]


def test_two_boxes_each_are_told_apart_by_a_letter() -> None:
    made = with_cages({}, 2, 2)
    assert ids(made) == ["shed", "cage-1", "box-1a", "box-1b", "cage-2", "box-2a", "box-2b"]


def test_a_second_box_comes_beside_the_first() -> None:
    assert ids(with_cages(with_cages({}, 1, 1), 1, 2)) == ["shed", "cage-1", "box-1", "box-1b"]


def test_cages_without_boxes_can_be_had() -> None:
    assert ids(with_cages({}, 2, 0)) == ["shed", "cage-1", "cage-2"]


def test_a_cage_on_which_something_hangs_is_not_removed(shed: EditingShed) -> None:
    adopted = edits.adopt(device="th-1", place="box-3", interval="60 s")
    shed.do(edits.cages(count=3), adopted)
    with pytest.raises(InputError, match="box-3 can't be removed: sensor th-1 is set up there"):
        shed.do(edits.cages(count=2))
    assert len(shed.records.nest_book.nests()) == 3


def test_the_cages_stand_in_the_shed_of_the_file() -> None:
    made = with_cages({"place": [{"id": "barn", "kind": "shed"}]}, 1, 1)
    assert [place.get("in") for place in made["place"]] == [None, "barn", "cage-1"]  # type: ignore[attr-defined]


def test_an_id_that_something_else_bears_is_told() -> None:
    taken = {"place": [{"id": "shed", "kind": "shed"}, {"id": "cage-1", "kind": "flight"}]}
    with pytest.raises(InputError, match="cage-1 is there already, and is no cage"):
        with_cages(taken, 1, 1)


_COUNTS = st.tuples(st.integers(0, 12), st.integers(0, 4))


@given(counts=st.lists(_COUNTS, min_size=1, max_size=4))
def test_however_often_they_are_asked_for_there_are_as_many_as_the_last_time(
    counts: list[tuple[int, int]],
) -> None:
    document: Any = {}
    for count, each in counts:
        document = with_cages(document, count, each)
    count, each = counts[-1]
    kinds = [place["kind"] for place in document["place"]]
    assert (kinds.count("cage"), kinds.count("box")) == (count, count * each)
    assert len(names_in("place", document)) == len(kinds)
    assert examine(document).faults == ()
