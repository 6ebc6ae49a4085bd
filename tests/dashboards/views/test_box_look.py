"""What to look for in a box, from what the book has."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from dashboards.views.box_look import BoxLook, box_look
from service.nests.due import DueKind
from service.nests.nest import Chick, Clutch, Egg, EggFate, Nest
from service.nests.place import Place, PlaceKind
from service.nests.species import SpeciesSettings
from tests.dashboards.filled_shed import NOW, ZONE, FilledShed, open_shed

NAMES = {"box-1": "Box 1"}
BOX = Place(id="box-1", kind=PlaceKind.BOX, name="Box 1")


@pytest.fixture
def filled(tmp_path: Path) -> Iterator[FilledShed]:
    shed = open_shed(tmp_path)
    shed.fill_nests()
    yield shed
    shed.close()


def seen(nest: Nest, *, hours: float = 12) -> BoxLook:
    since = NOW - timedelta(hours=hours)
    return box_look(nest, SpeciesSettings(), NOW, ZONE, since=since, names=NAMES)


def young(count: int, *, days: float) -> Nest:
    """Chicks that hatched so many days ago, without rings."""
    at = NOW - timedelta(days=days)
    laid = at - timedelta(days=18)
    eggs = tuple(
        Egg(
            id=n,
            number=n,
            laid_from=laid,
            laid_to=laid,
            fate=EggFate.HATCHED,
            fate_from=at,
            fate_to=at,
        )
        for n in range(1, count + 1)
    )
    chicks = tuple(
        Chick(id=n, egg_number=n, hatched_from=at, hatched_to=at) for n in range(1, count + 1)
    )
    return Nest(
        box=BOX, clutch=Clutch(id=1, box="box-1", pair_id=1, round=1, eggs=eggs, chicks=chicks)
    )


def test_the_next_egg_is_looked_for_by_its_number(filled: FilledShed) -> None:
    look = seen(filled.records.nest_book.nest("box-2"))
    assert [one.words for one in look.to_look_for if one.in_box] == ["Look for egg 2"]
    assert (look.still, look.eggs, look.chicks) == ("still 1 egg", 1, 0)


def test_what_is_over_its_days_is_late_and_comes_first(filled: FilledShed) -> None:
    first = seen(filled.records.nest_book.nest("box-1")).to_look_for[0]
    assert (first.kind, first.late, first.when) == (DueKind.CANDLE, True, "late since yesterday")


@pytest.mark.parametrize(
    ("count", "words"),
    [(1, "Ring chick 1"), (2, "Ring chicks 1 and 2"), (3, "Ring chicks 1, 2 and 3")],
)
def test_several_of_a_kind_are_one_line(count: int, words: str) -> None:
    look = seen(young(count, days=7))
    assert words in [one.words for one in look.to_look_for]


def test_that_a_clutch_is_complete_asks_for_no_look(filled: FilledShed) -> None:
    look = seen(filled.records.nest_book.nest("box-1"))
    kinds = {one.kind: one.in_box for one in look.to_look_for}
    assert kinds[DueKind.CLUTCH_COMPLETE] is False


def test_a_look_of_this_visit_is_told_and_an_older_one_is_not(filled: FilledShed) -> None:
    filled.look(2, 0, 1)
    nest = filled.records.nest_book.nest("box-2")
    assert seen(nest).looked == "Looked 14:30: 1 egg"
    assert seen(replace(nest, checks=nest.checks[:-1])).looked == ""


def test_a_look_that_told_of_the_hen_is_not_taken_back_from_here(filled: FilledShed) -> None:
    filled.look(2, 0, 1)  # it says that she sits
    assert seen(filled.records.nest_book.nest("box-2")).form_id is None


def test_what_comes_later_is_said_where_nothing_is_to_be_looked_for() -> None:
    look = seen(young(1, days=1))
    assert look.to_look_for == ()
    assert look.ahead.startswith("Next: chick 1 gets its ring, ")


def test_an_empty_box_has_nothing_to_look_for() -> None:
    look = seen(Nest(box=BOX))
    assert (look.holds, look.still, look.to_look_for) == ("no pair breeds here", "still empty", ())
