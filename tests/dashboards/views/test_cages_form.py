"""How many cages, and the walk that comes of them."""

from pathlib import Path

import pytest

from dashboards.views.cages_form import (
    CagesAnswer,
    CagesForm,
    Stop,
    cages_form,
    read_cages,
    walk,
)
from service.nests.place import Place, PlaceKind
from tests.dashboards.filled_shed import settings


def test_nine_cages_all_alike_are_read() -> None:
    assert read_cages(CagesForm(count="9", each="1")) == CagesAnswer(count=9, each=1)


@pytest.mark.parametrize(
    ("count", "each"),
    [("0", "1"), ("100", "1"), ("", "1"), ("9", "5"), ("9", "-1"), ("nine", "1"), ("٩", "1"),
     ("9" * 5000, "1"), ("9.0", "1")],
)  # fmt: skip
def test_what_is_no_number_of_cages_is_refused_in_words(count: str, each: str) -> None:
    faults = read_cages(CagesForm(count=count, each=each))
    assert isinstance(faults, tuple)
    assert len(faults) == 1
    assert "allowed: a whole number" in faults[0]


def test_the_form_shows_what_is_there(tmp_path: Path) -> None:
    assert cages_form(settings(tmp_path, boxes=7)) == CagesForm(count="7", each="1")


def test_a_walk_stops_at_cages_flights_and_boxes_that_stand_alone() -> None:
    places = (
        Place(id="shed", kind=PlaceKind.SHED, name="Shed"),
        Place(id="flight-1", kind=PlaceKind.FLIGHT, name="Flight", within="shed", order=1),
        Place(id="cage-1", kind=PlaceKind.CAGE, name="Cage 1", within="shed", order=2),
        Place(id="box-1a", kind=PlaceKind.BOX, name="Box 1a", within="cage-1", order=3),
        Place(id="box-1b", kind=PlaceKind.BOX, name="Box 1b", within="cage-1", order=4),
        Place(id="box-9", kind=PlaceKind.BOX, name="By the door", within="shed", order=5),
        Place(id="outdoors", kind=PlaceKind.OUTDOORS, name="Outdoors", order=6),
    )
    assert walk(places) == (
        Stop(name="Flight", boxes=()),
        Stop(name="Cage 1", boxes=("Box 1a", "Box 1b")),
        Stop(name="By the door", boxes=()),
    )
