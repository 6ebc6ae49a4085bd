"""What is said about eggs that a look did not see; the trade's own advice is common practice."""

from dataclasses import replace

from service.nests.advice import advice
from service.nests.book_says import BookSays
from service.nests.nest import (
    BeddingLevel,
    BeddingSeen,
    Clutch,
    Guest,
    GuestSeen,
    Move,
    Nest,
    NestCheck,
)
from tests.service.nests.nests_in_days import PAIR, day, egg, look, nest

AGAIN = (
    "Look again at the next visit, while the hen is off. Feel gently in the bedding with clean, "
    "warm fingers, and leave the others as they lie. Do not call it lost yet."
)


def after(*checks: NestCheck) -> Nest:
    return nest([egg(1, 5), egg(2, 7)], checks=checks)


def test_nothing_is_said_where_everything_was_seen() -> None:
    assert advice(nest()) == ()
    assert advice(after(look(8, 1, not_in_sight=(2,)), look(9, 2))) == ()


def test_first_time_it_is_to_be_looked_for_again_and_not_called_lost() -> None:
    assert advice(after(look(8, 1, not_in_sight=(2,)))) == ("Egg 2 was not in sight.", AGAIN)


def test_deep_bedding_is_named_as_what_may_hide_it() -> None:
    deep = BeddingSeen(level=BeddingLevel.DEEP)
    told = advice(after(look(8, 1, not_in_sight=(2,), bedding=deep)))
    assert told[-1] == "The bedding is deep: an egg may lie under it, where the hen can't warm it."


def test_third_look_in_a_row_asks_for_all_of_the_bedding() -> None:
    looks = [look(8 + n / 2, 1, not_in_sight=(2,)) for n in range(3)]
    told = advice(after(*looks))
    assert told[0] == "Egg 2 was not in sight at the last 3 looks, since 9 March."
    assert told[-1].startswith("Not seen at 3 looks in a row: feel through all of the bedding")
    assert told[-1].endswith("If it is not there, tell it as missing at the next look.")


def test_look_that_saw_it_begins_the_count_anew() -> None:
    hidden = [look(8 + n / 2, 1, not_in_sight=(2,)) for n in range(2)]
    told = advice(after(*hidden, look(9.5, 2), look(10, 1, not_in_sight=(2,))))
    assert told == ("Egg 2 was not in sight.", AGAIN)


def test_guest_that_is_not_in_sight_is_named_by_its_own_box() -> None:
    move = Move(id=1, at=day(7), from_box="box-2", to_box="box-1")
    other = Clutch(
        id=9, box="box-2", pair_id=PAIR.id, round=1, eggs=(replace(egg(3, 5), moves=(move,)),)
    )
    seen = GuestSeen(egg_id=other.eggs[0].id, not_in_sight=True)
    standing = replace(
        after(look(8, 2, guests=(seen,))), guests=(Guest(clutch=other, egg=other.eggs[0]),)
    )
    told = advice(standing, book=BookSays(names={"box-2": "The sunny box"}))
    assert told[0] == "Egg 3 of The sunny box was not in sight."
