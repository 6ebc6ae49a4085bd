"""A check of a box in which eggs of another pair lie, and of one whose eggs are away."""

from dataclasses import replace
from typing import Any

import pytest

from service.nests.book_says import BookSays, RingWorn
from service.nests.compare import Outcome, compare
from service.nests.nest import (
    Candling,
    Chick,
    ChickFate,
    ChickGone,
    ChickRinged,
    Clutch,
    EggCandled,
    EggFate,
    EggLost,
    Guest,
    GuestSeen,
    Move,
    Nest,
    NestCheck,
    Weighed,
)
from service.nests.question import SURE, QuestionKind
from tests.service.nests.nests_in_days import SPECIES, chick, day, egg, found, look, nest

MOVED = Move(id=1, at=day(10), from_box="box-2", to_box="box-1")
OTHER = Clutch(
    id=9,
    box="box-2",
    pair_id=8,
    round=1,
    eggs=tuple(replace(egg(n, n + 1), id=90 + n, moves=(MOVED,)) for n in (1, 2)),
)
NAMES = BookSays(names={"box-2": "Box 2"})


def with_guests(*, hatched: bool = False, fate: ChickFate | None = None) -> Nest:
    """Two own eggs and two guests since day 10; of one guest, a chick since day 24."""
    other = OTHER
    if hatched:
        first = replace(OTHER.eggs[0], fate=EggFate.HATCHED, fate_from=day(23), fate_to=day(24))
        born = replace(chick(1, 24), id=77, fate=fate, fate_at=day(60) if fate else None)
        other = replace(OTHER, eggs=(first, OTHER.eggs[1]), chicks=(born,))
    chicks = {one.egg_number: one for one in other.chicks}
    guests = tuple(Guest(clutch=other, egg=one, chick=chicks.get(one.number)) for one in other.eggs)
    own = nest([egg(1, 8), egg(2, 10)], checks=[look(10, 4)], sitting_from=day(8))
    return replace(own, guests=guests)


def told(check: NestCheck, before: Nest, book: BookSays = NAMES) -> Outcome:
    return compare(check, before, SPECIES, now=check.at, book=book)


def other_of(outcome: Outcome) -> Clutch:
    (other,) = outcome.others
    return other


def test_look_that_tells_nothing_new_counts_guests_too() -> None:
    outcome = told(look(11, 4), with_guests())
    assert (outcome.changes, outcome.questions, outcome.others) == ((), (), ())


def test_new_egg_beside_guests_is_the_pairs_own() -> None:
    outcome = told(look(12, 5), with_guests())
    assert outcome.changes == ("egg 3 found",)
    assert outcome.others == ()


def test_guest_that_hatches_gives_its_own_clutch_a_chick() -> None:
    seen = GuestSeen(egg_id=91, hatched=True)
    outcome = told(look(25, 3, 1, guests=(seen,)), with_guests())
    assert outcome.changes == ("egg 1 of Box 2 hatched",)
    other = other_of(outcome)
    assert other.chicks == (Chick(id=0, egg_number=1, hatched_from=day(10), hatched_to=day(25)),)
    assert outcome.clutch == with_guests().clutch


def test_two_guests_of_one_clutch_are_written_into_it_together() -> None:
    seen = (GuestSeen(egg_id=91, hatched=True), GuestSeen(egg_id=92, lost=EggFate.BROKEN))
    other = other_of(told(look(25, 2, 1, guests=seen), with_guests()))
    assert [one.fate for one in other.eggs] == [EggFate.HATCHED, EggFate.BROKEN]


def test_which_egg_hatched_is_never_guessed_where_guests_lie() -> None:
    (question,) = told(look(29, 3, 1), with_guests()).questions
    assert question.kind is QuestionKind.WHICH_HATCHED
    assert (question.numbers, question.guests) == ((1, 2), (91, 92))


def test_chick_of_a_guest_that_is_gone_is_asked_about_with_the_others() -> None:
    (question,) = told(look(25, 3, 0), with_guests(hatched=True)).questions
    assert question.kind is QuestionKind.FEWER_CHICKS
    assert question.guests == (91,)
    gone = GuestSeen(egg_id=91, gone=ChickFate.DIED)
    outcome = told(look(25, 3, 0, guests=(gone,)), with_guests(hatched=True))
    assert outcome.changes == ("chick 1 of Box 2 died",)
    assert other_of(outcome).chicks[0].fate is ChickFate.DIED


def test_clutch_of_guests_is_over_when_all_of_it_has_its_fate() -> None:
    seen = (
        GuestSeen(egg_id=91, gone=ChickFate.FLEDGED),
        GuestSeen(egg_id=92, lost=EggFate.CLEAR),
    )
    outcome = told(look(58, 2, 0, guests=seen), with_guests(hatched=True))
    assert other_of(outcome).closed_at == day(58)


ASKED = [
    (GuestSeen(egg_id=5, hatched=True), QuestionKind.UNKNOWN_EGG, "no longer in this box"),
    (
        GuestSeen(egg_id=91, candled=Candling.FERTILE),
        QuestionKind.UNKNOWN_EGG,
        "Chick 1 of Box 2 is known as hatched already",
    ),
    (
        GuestSeen(egg_id=92, lost=EggFate.BROKEN, not_in_sight=True),
        QuestionKind.TOLD_TWICE,
        "Egg 2 of Box 2 is told of twice",
    ),
    (
        GuestSeen(egg_id=92, hatched=True, lost=EggFate.BROKEN),
        QuestionKind.TOLD_TWICE,
        "Egg 2 of Box 2 is told of twice",
    ),
]


@pytest.mark.parametrize(("seen", "kind", "words"), ASKED, ids=range(len(ASKED)))
def test_what_can_not_be_of_a_guest_is_asked_about(
    seen: GuestSeen, kind: QuestionKind, words: str
) -> None:
    (question,) = told(look(25, 3, 1, guests=(seen,)), with_guests(hatched=True)).questions
    assert question.kind is kind
    assert words in question.sentence
    assert question.guests == (seen.egg_id,)


def test_guest_named_in_two_lines_is_asked_about() -> None:
    seen = (GuestSeen(egg_id=92, hatched=True), GuestSeen(egg_id=92, lost=EggFate.BROKEN))
    kinds = {
        question.kind for question in told(look(25, 3, 1, guests=seen), with_guests()).questions
    }
    assert kinds == {QuestionKind.TOLD_TWICE}


def test_chick_of_a_guest_whose_story_is_over_gets_no_other_end() -> None:
    before = with_guests(hatched=True, fate=ChickFate.DIED)
    seen = GuestSeen(egg_id=91, gone=ChickFate.FLEDGED)
    (question,) = told(look(61, 3, 0, guests=(seen,)), before).questions
    assert "Chick 1 of Box 2 is known as died already" in question.sentence


def test_guest_from_a_clear_egg_is_refused_with_the_reason() -> None:
    clear = replace(OTHER.eggs[1], candling=Candling.CLEAR, candled_at=day(12))
    before = with_guests()
    guests = (before.guests[0], replace(before.guests[1], egg=clear))
    seen = GuestSeen(egg_id=92, hatched=True)
    (question,) = told(look(25, 3, 1, guests=(seen,)), replace(before, guests=guests)).questions
    assert question.kind is QuestionKind.CLEAR
    assert question.sentence.startswith("Egg 2 of Box 2 was clear when held to a light on 13 March")


def test_own_egg_told_clear_and_hatched_at_one_look_is_refused() -> None:
    before = nest([egg(1, 5)], checks=[look(22, 1)], sitting_from=day(5))
    candled = (EggCandled(number=1, result=Candling.CLEAR),)
    (question,) = found(look(23, 0, 1, hatched=(1,), candled=candled), before).questions
    assert question.kind is QuestionKind.CLEAR
    assert question.sentence.startswith("Egg 1 was clear when held to a light, and no chick")


def test_light_that_shows_it_fertile_now_counts_before_an_earlier_one() -> None:
    clear = egg(1, 5, candling=Candling.CLEAR, candled_at=day(12))
    before = nest([clear], checks=[look(22, 1)], sitting_from=day(5))
    candled = (EggCandled(number=1, result=Candling.FERTILE),)
    outcome = found(look(23, 0, 1, hatched=(1,), candled=candled), before)
    assert "egg 1 hatched" in outcome.changes


def test_guest_that_hatches_far_too_early_needs_the_keepers_word() -> None:
    check = look(12, 3, 1, guests=(GuestSeen(egg_id=92, hatched=True),))
    (question,) = told(check, with_guests()).questions
    assert (question.kind, question.choices) == (QuestionKind.TOO_EARLY, (SURE,))
    assert told(replace(check, sure=True), with_guests()).questions == ()


AWAY = nest(
    [egg(1, 5), replace(egg(2, 7), moves=(replace(MOVED, from_box="box-1", to_box="box-2"),))],
    checks=[look(10, 2)],
)


def test_own_egg_that_is_away_is_not_counted() -> None:
    outcome = told(look(11, 1), AWAY)
    assert (outcome.changes, outcome.questions) == ((), ())


@pytest.mark.parametrize(
    "more",
    [
        {"lost": (EggLost(number=2, fate=EggFate.BROKEN),)},
        {"candled": (EggCandled(number=2, result=Candling.FERTILE),)},
        {"not_in_sight": (2,)},
        {"weighed": (Weighed(egg_number=2, mass_g=2.0),)},
    ],
    ids=["lost", "candled", "not in sight", "weighed"],
)
def test_own_egg_that_is_away_is_told_of_where_it_lies(more: dict[str, Any]) -> None:
    (question,) = told(look(11, 1, **more), AWAY).questions
    assert question.sentence == (
        "Egg 2 was moved into Box 2. Tell what became of it there; which one of this box did you "
        "mean?"
    )


def test_egg_that_was_away_is_never_guessed_to_be_the_one_that_hatched() -> None:
    back = replace(MOVED, id=2, at=day(20), from_box="box-2", to_box="box-1")
    out = replace(MOVED, from_box="box-1", to_box="box-2")
    before = nest(
        [egg(1, 5), replace(egg(2, 7), moves=(out, back))],
        checks=[look(22, 2)],
        sitting_from=day(4),
    )
    (question,) = told(look(24, 1, 1), before).questions
    assert question.kind is QuestionKind.WHICH_HATCHED


UNSEEN = nest([egg(1, 5), egg(2, 7)], checks=[look(10, 2)])


def test_egg_not_in_sight_is_neither_counted_nor_lost() -> None:
    outcome = found(look(11, 1, not_in_sight=(2,)), UNSEEN)
    assert outcome.changes == ("egg 2 not in sight",)
    assert outcome.clutch is not None
    assert outcome.clutch.eggs[1].fate is None


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"not_in_sight": (2, 2)}, "Egg 2 is told of twice"),
        (
            {"not_in_sight": (2,), "candled": (EggCandled(number=2, result=Candling.FERTILE),)},
            "Egg 2 is told of twice",
        ),
        ({"not_in_sight": (3,)}, "No egg 3 was seen before"),
        ({"not_in_sight": (0,)}, "There is no egg 0"),
        ({"weighed": (Weighed(egg_number=7, mass_g=2.0),)}, "There is no egg 7"),
        ({"weighed": (Weighed(egg_number=1, mass_g=2000),)}, "a mass is 0.1 to 200 g"),
        ({"weighed": (Weighed(egg_number=1, mass_g=2),) * 2}, "was weighed twice"),
        (
            {"weighed": (Weighed(egg_number=1, mass_g=2, egg_id=55),)},
            "One that was weighed is no longer in this box",
        ),
    ],
    ids=range(8),
)
def test_what_can_not_be_of_an_unseen_or_weighed_egg_is_asked_about(
    more: dict[str, Any], words: str
) -> None:
    questions = found(look(11, 2, **more), UNSEEN).questions
    assert words in questions[0].sentence


def test_chick_that_is_dead_is_weighed_no_more() -> None:
    dead = chick(1, 25, fate=ChickFate.DIED, fate_at=day(26))
    before = nest([egg(1, 5, fate=EggFate.HATCHED), egg(2, 7)], [dead], [look(26, 1)])
    weighed = (Weighed(egg_number=1, mass_g=9),)
    (question,) = found(look(27, 1, weighed=weighed), before).questions
    assert question.sentence == "Chick 1 is known as died already. Which one did you mean?"


def test_ring_of_anybody_in_the_book_is_refused_and_a_chicks_own_is_not() -> None:
    before = nest([egg(1, 5, fate=EggFate.HATCHED)], [chick(1, 25)], [look(26, 0, 1)])
    check = look(33, 0, 1, ringed=(ChickRinged(egg_number=1, ring="HZ 1"),))
    theirs = BookSays(rings=(RingWorn(ring="hz 1", wearer="Moss (cock)"),))
    (question,) = told(check, before, theirs).questions
    assert question.sentence == "Ring HZ 1 is on Moss (cock). Which ring has chick 1?"
    own = BookSays(rings=(RingWorn(ring="HZ 1", wearer="chick 1 of Box 1", egg_id=1),))
    assert told(check, before, own).questions == ()


def test_ring_of_a_guest_and_of_our_own_can_not_be_the_same() -> None:
    own = replace(
        with_guests(hatched=True),
        clutch=nest([egg(1, 8, fate=EggFate.HATCHED)], [chick(1, 25)]).clutch,
    )
    check = look(
        33,
        1,
        2,
        ringed=(ChickRinged(egg_number=1, ring="HZ 1"),),
        guests=(GuestSeen(egg_id=91, ring="HZ 1"),),
    )
    (question,) = told(check, own).questions
    assert question.sentence == "Ring HZ 1 is on chick 1. Which ring has chick 1 of Box 2?"
    assert question.guests == (91,)


def test_look_told_for_an_instant_before_a_move_is_asked_about() -> None:
    before = replace(with_guests(), checks=())
    (question,) = told(look(9, 4), before).questions
    assert question.kind is QuestionKind.OLDER
    assert question.sentence.startswith("An egg or chick was moved on 11.03.2026 12:00")


def test_ring_or_fate_of_a_chick_that_is_away_is_told_where_it_is() -> None:
    out = replace(MOVED, from_box="box-1", to_box="box-2")
    before = nest(
        [replace(egg(1, 5, fate=EggFate.HATCHED), moves=(out,))], [chick(1, 25)], [look(26, 0)]
    )
    for more in (
        {"ringed": (ChickRinged(egg_number=1, ring="HZ 1"),)},
        {"gone": (ChickGone(egg_number=1, fate=ChickFate.DIED),)},
    ):
        check: NestCheck = look(33, 0, **more)
        assert told(check, before).questions[0].sentence.startswith("Chick 1 is in another box")


def test_ring_without_letters_and_a_dead_chick_that_is_ringed_are_asked_about() -> None:
    dead = chick(1, 25, fate=ChickFate.DIED, fate_at=day(26))
    before = nest([egg(1, 5, fate=EggFate.HATCHED)], [dead], [look(26, 0)])
    check = look(33, 0, ringed=(ChickRinged(egg_number=1, ring=" "),))
    sentences = [question.sentence for question in told(check, before).questions]
    assert "Chick 1 is known as died already. Which one did you mean?" in sentences
    assert "What is on the ring of chick 1?" in sentences


def test_chick_told_to_be_gone_twice_is_asked_about() -> None:
    before = nest([egg(1, 5, fate=EggFate.HATCHED)], [chick(1, 25)], [look(26, 0, 1)])
    gone = (ChickGone(egg_number=1, fate=ChickFate.DIED),) * 2
    sentences = [question.sentence for question in told(look(33, 0, gone=gone), before).questions]
    assert "Chick 1 is told of twice. Which one did you mean?" in sentences


def test_more_chicks_than_own_eggs_and_guests_could_give_are_asked_about() -> None:
    (question,) = told(look(28, 0, 6), with_guests()).questions
    assert question.kind is QuestionKind.MORE_CHICKS
    assert question.sentence == "6 chicks now, and there can't be more than 4. How many are there?"


def test_guest_that_was_candled_or_not_seen_is_told_in_the_changes() -> None:
    seen = (
        GuestSeen(egg_id=91, candled=Candling.FERTILE),
        GuestSeen(egg_id=92, not_in_sight=True),
    )
    outcome = told(look(14, 3, guests=seen), with_guests())
    assert outcome.changes == ("egg 1 of Box 2 candled: fertile", "egg 2 of Box 2 not in sight")
    assert other_of(outcome).eggs[0].candled_at == day(14)


def test_ring_of_a_guest_goes_on_its_chick() -> None:
    seen = (GuestSeen(egg_id=91, ring=" HZ 7 "),)
    outcome = told(look(33, 3, 1, guests=seen), with_guests(hatched=True))
    assert outcome.changes == ("chick 1 of Box 2 ringed HZ 7",)
    assert other_of(outcome).chicks[0].ring == "HZ 7"
