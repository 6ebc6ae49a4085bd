"""A keeper's check against the nest's history."""

from dataclasses import replace
from datetime import timedelta

import pytest

from service.nests.compare import compare
from service.nests.nest import (
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    Clutch,
    EggCandled,
    EggFate,
    EggLost,
    HenSeen,
)
from service.nests.question import NOT_IN_SIGHT, SURE, QuestionKind
from tests.service.nests.nests_in_days import (
    PAIR,
    SPECIES,
    chick,
    day,
    egg,
    found,
    look,
    nest,
)

FOUR_EGGS = nest(
    [egg(1, 5), egg(2, 7), egg(3, 9), egg(4, 11)],
    checks=[look(11, 4)],
    sitting_from=day(7),
)


def clutch_of(clutch: Clutch | None) -> Clutch:
    assert clutch is not None
    return clutch


def test_first_egg_opens_the_first_round_of_the_pair() -> None:
    outcome = found(look(9, 1), nest(checks=[look(8, 0)]))
    clutch = clutch_of(outcome.clutch)
    assert (clutch.id, clutch.pair_id, clutch.round) == (0, PAIR.id, 1)
    assert outcome.changes == ("round 1 begins", "egg 1 found")


def test_new_egg_was_laid_between_the_last_look_and_this_one() -> None:
    outcome = found(look(13, 5), FOUR_EGGS)
    new = clutch_of(outcome.clutch).eggs[4]
    assert (new.id, new.number, new.laid_from, new.laid_to) == (0, 5, day(11), day(13))


def test_eggs_found_together_each_leave_the_others_their_interval() -> None:
    outcome = found(look(17, 7), FOUR_EGGS)
    spans = [(one.laid_from, one.laid_to) for one in clutch_of(outcome.clutch).eggs[4:]]
    # Three eggs, at least 1.5 days apart, between day 11 and day 17.
    assert spans == [(day(11), day(14)), (day(12.5), day(15.5)), (day(14), day(17))]


def test_empty_box_stays_without_a_clutch() -> None:
    outcome = found(look(3, 0), nest())
    assert (outcome.clutch, outcome.changes, outcome.questions) == (None, (), ())


def test_look_that_changes_nothing_changes_nothing() -> None:
    outcome = found(look(12, 4), FOUR_EGGS)
    assert outcome.clutch == FOUR_EGGS.clutch
    assert outcome.changes == ()


def test_named_egg_hatches_between_the_two_looks() -> None:
    before = replace(FOUR_EGGS, checks=(look(24, 4),))
    outcome = found(look(25, 3, 1, hatched=(1,)), before)
    clutch = clutch_of(outcome.clutch)
    assert clutch.eggs[0].fate is EggFate.HATCHED
    assert (clutch.chicks[0].egg_number, clutch.chicks[0].hatched_from) == (1, day(24))
    assert clutch.chicks[0].hatched_to == day(25)
    assert outcome.changes == ("egg 1 hatched",)


def test_hatch_is_inferred_when_one_egg_is_ahead_of_all_others() -> None:
    before = nest([egg(1, 5), egg(2, 7), egg(3, 9)], checks=[look(22, 3)], sitting_from=day(4))
    outcome = found(look(23, 2, 1), before)
    assert outcome.changes == ("egg 1 hatched",)


def test_hatch_is_asked_about_when_two_eggs_waited_for_the_hen() -> None:
    outcome = found(look(25, 3, 1), FOUR_EGGS)
    (question,) = outcome.questions
    assert question.kind is QuestionKind.WHICH_HATCHED
    assert question.sentence == "1 chick more than last time. Which egg hatched?"
    assert (question.numbers, question.how_many) == ((1, 2, 3, 4), 1)
    assert outcome.clutch is None


def test_both_eggs_that_waited_for_the_hen_hatch_together_without_a_question() -> None:
    outcome = found(look(25, 2, 2), FOUR_EGGS)
    assert outcome.changes == ("egg 1 hatched", "egg 2 hatched")


def test_hatch_is_asked_about_when_no_egg_is_fewer() -> None:
    before = nest([egg(1, 5), egg(2, 7), egg(3, 9)], checks=[look(22, 3)], sitting_from=day(4))
    kinds = [question.kind for question in found(look(23, 3, 1), before).questions]
    assert kinds == [QuestionKind.WHICH_HATCHED]


def test_clear_egg_is_never_taken_for_the_one_that_hatched() -> None:
    before = nest(
        [egg(1, 5, candling=Candling.CLEAR), egg(2, 5.5)],
        checks=[look(24, 2)],
        sitting_from=day(4),
    )
    assert found(look(25, 1, 1), before).changes == ("egg 2 hatched",)


def test_fewer_eggs_and_nothing_said_is_asked_about() -> None:
    outcome = found(look(12, 3), FOUR_EGGS)
    (question,) = outcome.questions
    assert question.sentence == "4 eggs last time, 3 now. What became of the other?"
    assert question.numbers == (1, 2, 3, 4)
    assert question.choices == (*EggFate, NOT_IN_SIGHT)
    assert outcome.clutch is None


def test_answer_to_fewer_eggs_is_taken() -> None:
    lost = (EggLost(number=2, fate=EggFate.BROKEN),)
    outcome = found(look(12, 3, lost=lost), FOUR_EGGS)
    clutch = clutch_of(outcome.clutch)
    assert (clutch.eggs[1].fate, clutch.eggs[1].fate_from) == (EggFate.BROKEN, day(11))
    assert clutch.eggs[1].fate_to == day(12)
    assert outcome.changes == ("egg 2 broken",)


def test_answer_that_an_egg_hatched_makes_a_chick() -> None:
    lost = (EggLost(number=2, fate=EggFate.HATCHED),)
    outcome = found(look(25, 3, 1, lost=lost), FOUR_EGGS)
    assert [one.egg_number for one in clutch_of(outcome.clutch).chicks] == [2]


def test_hatched_and_no_chick_there_is_asked_about() -> None:
    (question,) = found(look(25, 3, 0, hatched=(1,)), FOUR_EGGS).questions
    assert question.kind is QuestionKind.FEWER_CHICKS
    assert question.sentence == "0 chicks last time, 1 hatched, 0 now. What became of the other?"
    assert question.choices == tuple(ChickFate)


def test_chick_that_hatched_and_died_between_two_looks_is_kept() -> None:
    gone = (ChickGone(egg_number=1, fate=ChickFate.DIED),)
    outcome = found(look(25, 3, 0, gone=gone), FOUR_EGGS)
    assert outcome.changes == ("egg 1 hatched", "chick 1 died")


REARING = nest(
    [egg(1, 5, fate=EggFate.HATCHED), egg(2, 7, fate=EggFate.HATCHED), egg(3, 9)],
    [chick(1, 25), chick(2, 26)],
    [look(26, 1, 2)],
)


def test_fewer_chicks_and_nothing_said_is_asked_about() -> None:
    (question,) = found(look(27, 1, 1), REARING).questions
    assert question.sentence == "2 chicks last time, 1 now. What became of the other?"
    assert (question.numbers, question.how_many) == ((1, 2), 1)


def test_more_chicks_than_eggs_could_give_is_asked_about() -> None:
    (question,) = found(look(27, 1, 4), REARING).questions
    assert question.kind is QuestionKind.MORE_CHICKS
    assert question.sentence == "4 chicks now, and there can't be more than 3. How many are there?"


def test_ring_goes_on_a_known_chick() -> None:
    ringed = (ChickRinged(egg_number=2, ring=" HZ 26 014 "),)
    outcome = found(look(34, 1, 2, ringed=ringed), REARING)
    assert clutch_of(outcome.clutch).chicks[1].ring == "HZ 26 014"
    assert outcome.changes == ("chick 2 ringed HZ 26 014",)


def test_ring_on_an_unknown_chick_is_asked_about() -> None:
    ringed = (ChickRinged(egg_number=8, ring="HZ 26 014"),)
    (question,) = found(look(34, 1, 2, ringed=ringed), REARING).questions
    assert question.kind is QuestionKind.UNKNOWN_CHICK


def test_one_ring_on_two_chicks_is_asked_about() -> None:
    ringed = tuple(ChickRinged(egg_number=number, ring="HZ 26 014") for number in (1, 2))
    (question,) = found(look(34, 1, 2, ringed=ringed), REARING).questions
    assert question.kind is QuestionKind.RING


def test_another_ring_on_a_ringed_chick_needs_the_keepers_word() -> None:
    before = nest([egg(1, 5, fate=EggFate.HATCHED)], [chick(1, 25, ring="A1")], [look(34, 0, 1)])
    check = look(35, 0, 1, ringed=(ChickRinged(egg_number=1, ring="A2"),))
    assert [question.choices for question in found(check, before).questions] == [(SURE,)]
    assert found(replace(check, sure=True), before).changes == ("chick 1 ringed A2",)


def test_fledged_chick_can_be_weaned_and_then_no_more() -> None:
    before = nest(
        [egg(1, 5, fate=EggFate.HATCHED)],
        [chick(1, 25, fate=ChickFate.FLEDGED)],
        [look(58, 0)],
        closed_at=day(58),
    )
    check = look(66, 0, gone=(ChickGone(egg_number=1, fate=ChickFate.WEANED),))
    after = found(check, before)
    assert clutch_of(after.clutch).chicks[0].fate is ChickFate.WEANED
    weaned = replace(before, clutch=after.clutch)
    (question,) = found(replace(check, at=day(67)), weaned).questions
    assert question.kind is QuestionKind.UNKNOWN_CHICK


def test_candling_is_kept_with_its_time() -> None:
    candled = (EggCandled(number=3, result=Candling.FERTILE),)
    outcome = found(look(15, 4, candled=candled), FOUR_EGGS)
    third = clutch_of(outcome.clutch).eggs[2]
    assert (third.candling, third.candled_at) == (Candling.FERTILE, day(15))
    assert outcome.changes == ("egg 3 candled: fertile",)


@pytest.mark.parametrize("number", [0, 5, 99])
def test_hatched_number_that_does_not_exist_is_asked_about(number: int) -> None:
    questions = found(look(25, 3, 1, hatched=(number,)), FOUR_EGGS).questions
    assert QuestionKind.UNKNOWN_EGG in [question.kind for question in questions]


def test_egg_that_has_its_fate_can_not_get_another() -> None:
    (question,) = found(look(27, 1, 2, hatched=(1,)), REARING).questions
    assert question.sentence == "Egg 1 is known as hatched already. Which one did you mean?"


def test_one_egg_with_two_stories_is_asked_about() -> None:
    lost = (EggLost(number=1, fate=EggFate.BROKEN),)
    (question,) = found(look(25, 3, 1, hatched=(1,), lost=lost), FOUR_EGGS).questions
    assert (question.kind, question.numbers) == (QuestionKind.TOLD_TWICE, (1,))


def test_check_older_than_the_last_one_is_asked_about() -> None:
    (question,) = found(look(10, 4), FOUR_EGGS).questions
    assert question.kind is QuestionKind.OLDER
    assert question.sentence == (
        "The last look was on 12.03.2026 12:00, this one is told for 11.03.2026 12:00: "
        "the book takes looks in their order. Enter this one as of now, with a note of when "
        "it was; or put its time right."
    )


def test_check_of_tomorrow_is_asked_about() -> None:
    outcome = compare(look(12, 4), FOUR_EGGS, SPECIES, now=day(11))
    assert [question.kind for question in outcome.questions] == [QuestionKind.NOT_YET]


def test_phone_clock_may_be_ahead_by_minutes() -> None:
    check = look(12, 4)
    outcome = compare(check, FOUR_EGGS, SPECIES, now=check.at - timedelta(minutes=4))
    assert outcome.questions == ()


def test_more_eggs_than_a_hen_can_lay_need_the_keepers_word() -> None:
    check = look(12, 9)
    (question,) = found(check, FOUR_EGGS).questions
    assert (question.kind, question.choices) == (QuestionKind.MORE_EGGS, (SURE,))
    sure = found(replace(check, sure=True), FOUR_EGGS)
    spans = [(one.laid_from, one.laid_to) for one in clutch_of(sure.clutch).eggs[4:]]
    assert spans == [(day(11 + n / 5), day(11 + (n + 1) / 5)) for n in range(5)]


def test_egg_is_never_laid_after_the_look_that_found_it() -> None:
    # Half a day in seven parts: no whole number of microseconds.
    clutch = clutch_of(found(look(1.5, 7, sure=True), nest(checks=[look(1, 0)])).clutch)
    assert clutch.eggs[-1].laid_to == day(1.5)


def test_chick_from_an_egg_of_few_days_needs_the_keepers_word() -> None:
    check = look(14, 3, 1, hatched=(1,))
    (question,) = found(check, FOUR_EGGS).questions
    assert (question.kind, question.choices) == (QuestionKind.TOO_EARLY, (SURE,))
    assert found(replace(check, sure=True), FOUR_EGGS).changes == ("egg 1 hatched",)


def test_eggs_without_a_pair_are_asked_about() -> None:
    (question,) = found(look(9, 1), nest(pair=None)).questions
    assert question.kind is QuestionKind.NO_PAIR


def test_book_can_begin_in_the_middle_of_a_round() -> None:
    outcome = found(look(30, 2, 3), nest())
    clutch = clutch_of(outcome.clutch)
    assert [one.egg_number for one in clutch.chicks] == [1, 2, 3]
    assert [one.fate is None for one in clutch.eggs] == [False, False, False, True, True]
    assert all(one.laid_to <= day(30 - 17) for one in clutch.eggs[:3])


def test_chick_that_died_by_the_first_look_at_a_clutch_is_counted_beside_those_that_live() -> None:
    gone = (ChickGone(egg_number=2, fate=ChickFate.DIED),)
    outcome = found(look(30, 1, 2, gone=gone), nest())
    clutch = clutch_of(outcome.clutch)
    assert [(one.egg_number, one.fate) for one in clutch.chicks] == [
        (1, None),
        (2, ChickFate.DIED),
        (3, None),
    ]
    assert [one.fate for one in clutch.eggs] == [*[EggFate.HATCHED] * 3, None]


def test_ring_at_the_first_look_at_a_clutch_says_which_egg_hatched() -> None:
    ringed = (ChickRinged(egg_number=3, ring="HZ 26 014"),)
    clutch = clutch_of(found(look(40, 2, 1, ringed=ringed), nest()).clutch)
    assert [(one.egg_number, one.ring) for one in clutch.chicks] == [(3, "HZ 26 014")]
    assert [one.fate for one in clutch.eggs] == [None, None, EggFate.HATCHED]


@pytest.mark.parametrize("number", [0, 5, 99])
def test_fate_of_a_chick_that_can_not_be_is_asked_about_at_the_first_look(number: int) -> None:
    gone = (ChickGone(egg_number=number, fate=ChickFate.DIED),)
    assert found(look(40, 1, 2, gone=gone), nest()).questions


def test_number_of_a_chick_of_the_last_round_is_asked_about_when_the_next_begins() -> None:
    fledged = chick(1, 25, fate=ChickFate.FLEDGED)
    before = nest([egg(1, 5, fate=EggFate.HATCHED)], [fledged], [look(58, 0)], closed_at=day(58))
    check = look(90, 2, 1, gone=(ChickGone(egg_number=1, fate=ChickFate.WEANED),))
    kinds = [question.kind for question in found(check, before).questions]
    assert kinds == [QuestionKind.UNKNOWN_CHICK]
    named = found(replace(check, hatched=(1,)), before)
    assert [one.fate for one in clutch_of(named.clutch).chicks] == [ChickFate.WEANED, None]


LAST_CHICK = nest(
    [egg(1, 5, fate=EggFate.HATCHED), egg(2, 7, fate=EggFate.CLEAR)],
    [chick(1, 25)],
    [look(50, 0, 1)],
)
FLEDGED = (ChickGone(egg_number=1, fate=ChickFate.FLEDGED),)


def test_round_is_over_when_everything_has_its_fate() -> None:
    outcome = found(look(56, 0, gone=FLEDGED), LAST_CHICK)
    assert clutch_of(outcome.clutch).closed_at == day(56)
    assert outcome.changes == ("chick 1 fledged", "round 1 is over")


def test_next_egg_after_a_round_opens_the_second_with_egg_one() -> None:
    check = look(56, 0, gone=FLEDGED)
    over = replace(LAST_CHICK, clutch=found(check, LAST_CHICK).clutch, checks=(check,))
    clutch = clutch_of(found(look(57, 1), over).clutch)
    assert (clutch.id, clutch.round, [one.number for one in clutch.eggs]) == (0, 2, [1])


def test_first_egg_broken_does_not_end_a_round_that_is_being_laid() -> None:
    lost = (EggLost(number=1, fate=EggFate.BROKEN),)
    first = found(look(9, 0, lost=lost), nest(checks=[look(8, 0)]))
    broken = clutch_of(first.clutch)
    assert broken.closed_at is None
    later = found(look(11, 1), replace(nest(checks=[look(9, 0)]), clutch=replace(broken, id=3)))
    assert [one.number for one in clutch_of(later.clutch).eggs] == [1, 2]


def test_hide_is_noted_once() -> None:
    outcome = found(look(50, 0, 1, hide_in=True), LAST_CHICK)
    assert clutch_of(outcome.clutch).hide_in_at == day(50)
    assert outcome.changes == ("somewhere to hide is in",)


def test_hen_seen_sitting_is_told_the_first_time() -> None:
    first = look(12, 4, hen=HenSeen.SITTING)
    assert found(first, FOUR_EGGS).changes == ("the hen sits",)
    again = replace(FOUR_EGGS, checks=(first,))
    assert found(look(13, 4, hen=HenSeen.SITTING), again).changes == ()
