"""Whether an egg or a chick can be moved, and what is asked first."""

from dataclasses import replace
from datetime import datetime

import pytest

from service.nests.guests import away
from service.nests.moving import MoveTold, doubts, moved, reopens, why_not
from service.nests.nest import ChickFate, Clutch, EggFate, Move, Nest
from service.nests.place import Place, PlaceKind
from tests.service.nests.nests_in_days import chick, day, egg, look, nest

OTHER = Nest(
    box=Place(id="box-2", kind=PlaceKind.BOX, name="Box 2"),
    pair=nest().pair,
    checks=(look(10, 0),),
)
OUT = Move(id=1, at=day(12), from_box="box-1", to_box="box-2")
DAY_13 = day(13)
HOME = nest([egg(1, 5), egg(2, 7)], checks=[look(10, 2)])


def told(
    at: datetime = DAY_13, *, home: Nest = HOME, number: int = 1, into: Nest = OTHER
) -> MoveTold:
    assert home.clutch is not None
    return MoveTold(
        clutch=home.clutch, egg=home.clutch.eggs[number - 1], out_of=home, into=into, at=at
    )


def test_egg_that_lies_there_can_be_moved() -> None:
    assert why_not(told(), day(13)) is None
    assert list(doubts(told())) == []


HATCHED = egg(1, 5, fate=EggFate.HATCHED)
AWAY = nest([replace(egg(1, 5), moves=(OUT,)), egg(2, 7)], checks=[look(10, 2)])

REFUSED = [
    (told(day(14)), "15.03.2026 12:00 is still to come. When was it moved?"),
    (told(into=HOME), "Egg 1 is in Box 1 already."),
    (told(home=AWAY, into=replace(OTHER, box=HOME.box)), "Egg 1 is not in Box 1 any more."),
    (told(home=nest([egg(1, 5, fate=EggFate.BROKEN)])), "Egg 1 is known as broken already"),
    (
        told(home=nest([HATCHED], [chick(1, 11, fate=ChickFate.DIED)])),
        "Chick 1 is known as died already",
    ),
    (
        told(day(9.5), home=nest([egg(1, 10)]), into=replace(OTHER, checks=())),
        "Egg 1 was first seen on 11.03.2026 12:00",
    ),
    (
        told(day(10.5), home=nest([HATCHED], [chick(1, 11)])),
        "Chick 1 was first seen on 12.03.2026 12:00",
    ),
    (told(day(9)), "The last look into Box 1 was on 11.03.2026 12:00"),
    (
        told(day(9), home=replace(HOME, checks=())),
        "The last look into Box 2 was on 11.03.2026 12:00",
    ),
]


@pytest.mark.parametrize(("move", "words"), REFUSED, ids=[words for _, words in REFUSED])
def test_move_that_can_not_have_been_is_refused_with_the_reason(move: MoveTold, words: str) -> None:
    reason = why_not(move, day(13))
    assert reason is not None
    assert reason.startswith(words)


def test_moves_of_one_egg_are_told_in_their_order() -> None:
    back = nest([replace(egg(1, 5), moves=(OUT,)), egg(2, 7)])
    at_other = replace(OTHER, checks=())
    move = replace(told(day(11), home=back, into=nest()), out_of=at_other)
    assert why_not(move, day(13)) == (
        "Egg 1 was moved on 13.03.2026 12:00 before. Moves are told in their order."
    )


def test_box_without_a_pair_or_taken_off_is_asked_about() -> None:
    off = replace(OTHER, pair=None, off_since=day(1))
    assert list(doubts(told(into=off))) == [
        "No pair is put up at Box 2: nobody would sit there. Is it so?",
        "Box 2 was taken off. Is it so?",
    ]


def test_egg_that_comes_home_before_the_next_round_lets_its_own_go_on() -> None:
    closed = nest([replace(egg(1, 5), moves=(OUT,))], closed_at=day(13))
    assert closed.clutch is not None
    move = replace(told(home=closed, into=closed), out_of=OTHER)
    assert reopens(move)
    back = replace(OUT, id=2, from_box="box-2", to_box="box-1")
    after = moved(closed.clutch, 1, back, reopened=True)
    assert (after.closed_at, after.eggs[0].box("box-1")) == (None, "box-1")
    later = replace(closed, clutch=Clutch(id=9, box="box-1", pair_id=7, round=2))
    assert not reopens(replace(move, into=later))


def test_egg_of_the_pair_before_does_not_come_home_to_the_next_pair() -> None:
    closed = nest([replace(egg(1, 5), moves=(OUT,))], closed_at=day(13))
    assert closed.pair is not None
    others = replace(closed, pair=replace(closed.pair, id=8))
    reason = why_not(replace(told(home=closed, into=others), out_of=OTHER), day(13))
    assert reason is not None
    assert reason.startswith("Egg 1 was laid in Box 1 by the pair before, and that clutch is over")
    assert why_not(replace(told(home=closed, into=closed), out_of=OTHER), day(13)) is None


def test_what_is_away_is_what_lives_elsewhere() -> None:
    over = replace(egg(2, 7, fate=EggFate.BROKEN), moves=(replace(OUT, id=2),))
    clutch = nest([replace(egg(1, 5), moves=(OUT,)), over, egg(3, 9)]).clutch
    assert clutch is not None
    assert [one.number for one in away(clutch)] == [1]
