"""Places: what hangs on them, in which order they are walked, what may be added."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.views.places_view import (
    Hanging,
    NewPlace,
    new_id,
    new_order,
    places_view,
    read_new_place,
)
from service.nests.place import PlaceKind
from tests.dashboards.filled_shed import places, settings


def holds(folder: Path, place: str, hanging: Hanging | None = None) -> tuple[str, ...]:
    row = places_view(settings(folder), hanging or Hanging()).row(place)
    assert row is not None
    return row.holds


def test_a_box_on_which_nothing_hangs_may_go(tmp_path: Path) -> None:
    assert holds(tmp_path, "box-3") == ()


def test_what_hangs_on_a_place_is_told_in_words(tmp_path: Path) -> None:
    assert holds(tmp_path, "cage-1") == ("1 place in it",)
    assert holds(tmp_path, "box-2") == ("sensor th-2",)
    hanging = Hanging(birds={"box-1"}, readings={"box-1"})
    assert holds(tmp_path, "box-1", hanging) == (
        "the nest book writes of it",
        "readings were taken there",
    )


def test_the_only_shed_stays(tmp_path: Path) -> None:
    assert "it is the only shed" in holds(tmp_path, "shed")


def test_what_the_file_states_may_not_go(tmp_path: Path) -> None:
    fixed = replace(settings(tmp_path), fixed=frozenset({("place", "box-3")}))
    view = places_view(fixed, Hanging())
    row = view.row("box-3")
    assert row is not None
    assert not row.may_go
    assert view.order_in_file


def test_stops_are_walked_by_their_numbers_and_boxes_go_with_their_cage() -> None:
    told = {"number.cage-1": "2", "number.cage-2": "1"}
    ordered = new_order(told, places(2))
    assert not isinstance(ordered, str)
    assert [place.id for place in ordered] == ["shed", "cage-2", "box-2", "cage-1", "box-1"]


@pytest.mark.parametrize("number", ["", "first", "-1", "10000", "1.5", "²"])
def test_a_number_that_is_none_names_its_stop(number: str) -> None:
    said = new_order({"number.cage-1": number, "number.cage-2": "1"}, places(2))
    assert isinstance(said, str)
    assert said.startswith("Cage 1: ")


@given(st.lists(st.integers(0, 9999), min_size=6, max_size=6))
def test_no_place_is_lost_whatever_the_numbers(numbers: list[int]) -> None:
    told = {f"number.cage-{n}": str(number) for n, number in enumerate(numbers, start=1)}
    ordered = new_order(told, places(6))
    assert not isinstance(ordered, str)
    assert sorted(place.id for place in ordered) == sorted(place.id for place in places(6))


def test_a_box_is_added_in_its_cage() -> None:
    told = {"kind": "box", "name": "Box 1b", "within": "cage-1"}
    assert read_new_place(told, places(1)) == NewPlace(
        kind=PlaceKind.BOX, name="Box 1b", within="cage-1", joins=True
    )


@pytest.mark.parametrize(
    "told",
    [
        {"kind": "box", "name": "B", "within": "box-1"},
        {"kind": "box", "name": "B", "within": ""},
        {"kind": "cage", "name": "C", "within": "nowhere"},
        {"kind": "nest", "name": "N", "within": "shed"},
        {"kind": "cage", "name": " ", "within": "shed"},
        {"kind": "cage", "name": "\N{ZERO WIDTH SPACE}", "within": "shed"},
        {},
    ],
)
def test_what_can_t_stand_there_is_refused_in_words(told: dict[str, str]) -> None:
    faults = read_new_place(told, places(1))
    assert isinstance(faults, tuple)
    assert faults


def test_a_new_place_gets_the_first_id_that_is_free() -> None:
    assert new_id(PlaceKind.CAGE, {"cage-1", "cage-3"}) == "cage-2"
