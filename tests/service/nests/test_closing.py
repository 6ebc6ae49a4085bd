"""What stands in the way of closing a season."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from service.nests.closing import in_the_way, to_think_of
from service.nests.nest import (
    Bird,
    Chick,
    ChickFate,
    Clutch,
    Egg,
    EggFate,
    Guest,
    Move,
    Nest,
    Pair,
    Sex,
)
from service.nests.place import Place, PlaceKind

AT = datetime(2026, 3, 10, 8, tzinfo=UTC)
BOX = Place(id="box-1", kind=PlaceKind.BOX, name="Box 1")
LYING = Egg(id=1, number=1, laid_from=AT, laid_to=AT)
HATCHED = replace(LYING, fate=EggFate.HATCHED)
CHICK = Chick(id=1, egg_number=1, hatched_from=AT, hatched_to=AT)
CLUTCH = Clutch(id=1, box="box-1", pair_id=1, round=1)
ENDING = "in the book without a fate. Look in, and write what became of them."


def nest(*, eggs: tuple[Egg, ...] = (), chicks: tuple[Chick, ...] = ()) -> Nest:
    return Nest(box=BOX, clutch=replace(CLUTCH, eggs=eggs, chicks=chicks))


@pytest.mark.parametrize(
    ("alive", "told"),
    [
        (nest(eggs=(LYING, replace(LYING, number=2))), f"Box 1: 2 eggs {ENDING}"),
        (nest(eggs=(HATCHED,), chicks=(CHICK,)), f"Box 1: 1 chick {ENDING}"),
        (Nest(box=BOX, guests=(Guest(clutch=CLUTCH, egg=LYING),)), f"Box 1: 1 guest {ENDING}"),
    ],
    ids=["eggs", "a chick", "a guest"],
)
def test_life_in_a_box_stands_in_the_way(alive: Nest, told: str) -> None:
    assert in_the_way([Nest(box=BOX), alive]) == (told,)


def test_a_box_in_which_everything_has_its_fate_does_not() -> None:
    gone = replace(CHICK, fate=ChickFate.WEANED)
    assert in_the_way([nest(eggs=(HATCHED,), chicks=(gone,)), Nest(box=BOX)]) == ()


def test_youngsters_and_pairs_are_to_be_thought_of() -> None:
    out = nest(eggs=(HATCHED,), chicks=(replace(CHICK, fate=ChickFate.FLEDGED),))
    pair = Pair(
        id=1,
        cage="cage-1",
        cock=Bird(id=1, sex=Sex.COCK),
        hen=Bird(id=2, sex=Sex.HEN),
        put_up_on=date(2026, 3, 1),
    )
    ended = replace(pair, ended_on=date(2026, 8, 1))
    assert to_think_of([out], [pair, ended]) == (
        "Box 1: 1 youngster out of the box, and not yet noted as feeding on their own.",
        "1 pair is still together; with a box they may lay again.",
    )
    assert to_think_of([Nest(box=BOX)], [ended]) == ()


def test_an_egg_in_another_box_is_told_there_alone() -> None:
    away = replace(LYING, moves=(Move(id=1, at=AT, from_box="box-1", to_box="box-2"),))
    home = nest(eggs=(away,))
    there = Nest(
        box=replace(BOX, id="box-2", name="Box 2"), guests=(Guest(clutch=CLUTCH, egg=away),)
    )
    assert in_the_way([home, there]) == (f"Box 2: 1 guest {ENDING}",)
