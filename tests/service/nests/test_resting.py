"""Which nests sleep while the birds rest."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from service.nests.nest import Chick, ChickFate, Clutch, Egg, EggFate, Guest, Move, Nest
from service.nests.place import Place, PlaceKind
from service.nests.resting import has_life, sleeps, still_fed

AT = datetime(2026, 3, 10, 8, tzinfo=UTC)
BOX = Place(id="box-1", kind=PlaceKind.BOX, name="Box 1")
LYING = Egg(id=1, number=1, laid_from=AT, laid_to=AT)
HATCHED = replace(LYING, fate=EggFate.HATCHED)


def nest(egg: Egg | None = None, fate: ChickFate | None = None) -> Nest:
    chick = Chick(id=1, egg_number=1, hatched_from=AT, hatched_to=AT, fate=fate)
    chicks = (chick,) if egg is HATCHED else ()
    eggs = (egg,) if egg else ()
    clutch = Clutch(id=1, box="box-1", pair_id=1, round=1, eggs=eggs, chicks=chicks)
    return Nest(box=BOX, clutch=clutch)


@pytest.mark.parametrize(
    "empty",
    [
        Nest(box=BOX),
        nest(),
        nest(replace(LYING, fate=EggFate.CLEAR)),
        nest(HATCHED, ChickFate.DIED),
        nest(HATCHED, ChickFate.WEANED),
        nest(HATCHED, ChickFate.MOVED),
    ],
    ids=["never bred", "no egg", "clear", "died", "weaned", "moved"],
)
def test_a_nest_without_life_sleeps_while_the_birds_rest(empty: Nest) -> None:
    assert sleeps(replace(empty, resting=True))
    assert not sleeps(empty)


@pytest.mark.parametrize(
    "alive",
    [
        nest(LYING),
        nest(HATCHED),
        nest(HATCHED, ChickFate.FLEDGED),
        Nest(
            box=BOX,
            guests=(
                Guest(
                    clutch=nest(LYING).clutch or Clutch(id=1, box="box-2", pair_id=1, round=1),
                    egg=LYING,
                ),
            ),
        ),
    ],
    ids=["an egg", "a chick", "a youngster that still needs its parents", "a guest"],
)
def test_a_nest_with_life_stays_awake_while_the_birds_rest(alive: Nest) -> None:
    assert not sleeps(replace(alive, resting=True))


def test_a_youngster_out_of_the_box_needs_its_parents_and_no_box() -> None:
    out = nest(HATCHED, ChickFate.FLEDGED)
    assert (has_life(out), still_fed(out)) == (False, 1)


def test_youngsters_of_the_round_before_keep_a_nest_awake() -> None:
    out = nest(HATCHED, ChickFate.FLEDGED).clutch
    lost = nest(replace(LYING, fate=EggFate.CLEAR))
    assert lost.clutch is not None
    second = replace(lost, clutch=replace(lost.clutch, id=2, round=2), before=out)
    assert not sleeps(replace(second, resting=True))
    last_year = replace(second, clutch=replace(lost.clutch, id=2, round=1))
    assert sleeps(replace(last_year, resting=True))


def test_what_is_away_lives_in_the_other_box() -> None:
    away = Move(id=1, at=AT, from_box="box-1", to_box="box-2")
    assert not has_life(nest(replace(LYING, moves=(away,))))
