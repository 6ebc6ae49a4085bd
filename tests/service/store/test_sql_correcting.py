"""Facts that are corrected by hand in a real nest book, and what stands in their way."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from service.errors import InputError, NotKnownError
from service.nests.book_correction import BookCorrection, Subject
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
    GuestSeen,
    Sex,
    Weighed,
)
from service.nests.weighing import Weighing
from service.store.sql_records import open_records
from tests.service.store.fostering import LAST_DAY, TwoBoxes, at, two_boxes


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[TwoBoxes]:
    records = open_records("sqlite:///records.db", tmp_path)
    laid = two_boxes(records.nest_book)
    laid.lay("box-1", 4)
    yield laid
    records.close()


def correct(
    shed: TwoBoxes, subject: Subject, subject_id: int, fact: str, value: str | None
) -> BookCorrection:
    told = shed.book.correct(
        subject, subject_id, fact, value, at=LAST_DAY, why="read wrong", by="Mara"
    )
    (one,) = told
    return one


def undo(shed: TwoBoxes, correction: BookCorrection) -> None:
    shed.book.undo(correction.id, at=LAST_DAY, by="Jo")


def between(*days: float) -> str:
    return ";".join(told(at(day)) for day in days)


def told(when: datetime) -> str:
    return when.isoformat()


def test_correction_keeps_what_stood_before_and_who_and_when_and_why(shed: TwoBoxes) -> None:
    egg = shed.egg("box-1", 2)
    told = correct(shed, Subject.EGG, egg.id, "laid", between(1, 2))
    assert told == BookCorrection(
        id=told.id,
        subject=Subject.EGG,
        subject_id=egg.id,
        clutch_id=shed.clutch("box-1").id,
        fact="laid",
        before=between(1, 3),
        after=between(1, 2),
        why="read wrong",
        by="Mara",
        at=LAST_DAY,
    )
    assert shed.egg("box-1", 2) == replace(egg, laid_to=at(2))
    assert list(shed.book.corrections(shed.clutch("box-1").id)) == [told]


def test_undoing_puts_back_what_stood_before_and_says_who_did(shed: TwoBoxes) -> None:
    before = shed.clutch("box-1")
    told = correct(shed, Subject.EGG, before.eggs[1].id, "laid", between(1, 2))
    undo(shed, told)
    assert shed.clutch("box-1") == before
    (kept,) = shed.book.corrections(before.id)
    assert kept == replace(told, undone_at=LAST_DAY, undone_by="Jo")


def test_what_is_so_already_is_no_correction(shed: TwoBoxes) -> None:
    egg = shed.egg("box-1", 2)
    assert not shed.book.correct(Subject.EGG, egg.id, "laid", between(1, 3), at=LAST_DAY)
    assert not shed.book.corrections(shed.clutch("box-1").id)


def test_correction_that_others_stand_on_is_not_undone_before_them(shed: TwoBoxes) -> None:
    egg = shed.egg("box-1", 2)
    first = correct(shed, Subject.EGG, egg.id, "laid", between(1, 2))
    second = correct(shed, Subject.EGG, egg.id, "laid", between(1, 1.5))
    with pytest.raises(InputError, match="A later correction of the same fact stands on this one"):
        undo(shed, first)
    undo(shed, second)
    undo(shed, first)
    assert shed.egg("box-1", 2) == egg


def test_correction_of_another_fact_does_not_stand_in_the_way(shed: TwoBoxes) -> None:
    egg = shed.egg("box-1", 2)
    first = correct(shed, Subject.EGG, egg.id, "laid", between(1, 2))
    correct(shed, Subject.EGG, egg.id, "size", "18.5;14.2")
    undo(shed, first)
    assert shed.egg("box-1", 2) == replace(egg, length_mm=18.5, breadth_mm=14.2)


def test_correction_is_undone_once(shed: TwoBoxes) -> None:
    told = correct(shed, Subject.EGG, shed.egg("box-1", 2).id, "laid", between(1, 2))
    undo(shed, told)
    with pytest.raises(InputError, match="undone already"):
        undo(shed, told)


def test_what_a_look_changed_since_is_not_undone(shed: TwoBoxes) -> None:
    egg = shed.egg("box-1", 2)
    told = correct(shed, Subject.EGG, egg.id, "candling", f"fertile;{between(7)}")
    shed.look("box-1", 9, 4, candled=(EggCandled(number=2, result=Candling.UNSURE),))
    with pytest.raises(InputError, match="has changed this since"):
        undo(shed, told)
    assert shed.egg("box-1", 2).candling is Candling.UNSURE


def test_undoing_what_would_contradict_the_book_is_refused_with_the_reason(shed: TwoBoxes) -> None:
    shed.look("box-1", 8, 4, candled=(EggCandled(number=1, result=Candling.CLEAR),))
    egg = shed.egg("box-1", 1)
    told = correct(shed, Subject.EGG, egg.id, "candling", f"fertile;{between(8)}")
    shed.look("box-1", 20, 3, 1, hatched=(1,))
    with pytest.raises(InputError, match="no chick comes out of a clear egg"):
        undo(shed, told)
    assert shed.egg("box-1", 1).candling is Candling.FERTILE


REFUSED = [
    ("laid", between(3, 1), "the first look with it is before the last look without it"),
    ("laid", between(60, 61), "10.05.2026 07:00 UTC is still to come"),
    ("laid", between(-3, -2), "Egg 2 would have been laid before egg 1"),
    ("candling", f"fertile;{between(0)}", "Egg 2 was held to a light before it was laid"),
    ("candling", "fertile;", "what the light showed, and when, belong together"),
    ("candling", f"cloudy;{between(8)}", "'cloudy' is not fertile, clear, unsure"),
    ("fate", f"broken;{between(8, 7)}", "the first look after its fate is before the last look"),
    ("fate", f"broken;{between(0, 0.5)}", "Egg 2 would have been broken before it was laid"),
    ("fate", f"hatched;{between(0, 0.5)}", "Egg 2 would have hatched before it was laid"),
    ("fate", "broken;;", "a fate, the last look before and the first after belong together"),
    ("size", "185;14.2", "Egg 2: a length of 185 mm; allowed: 5 to 40 mm"),
    ("laid", "yesterday;today", "'yesterday' is not a time"),
    ("laid", between(1), "1 parts instead of 2"),
]


@pytest.mark.parametrize(("fact", "value", "words"), REFUSED, ids=range(len(REFUSED)))
def test_correction_of_an_egg_that_can_not_be_is_refused_with_the_reason(
    shed: TwoBoxes, fact: str, value: str, words: str
) -> None:
    before = shed.clutch("box-1")
    with pytest.raises(InputError, match=words):
        correct(shed, Subject.EGG, before.eggs[1].id, fact, value)
    assert shed.clutch("box-1") == before
    assert not shed.book.corrections(before.id)


def chick_of_egg_1(shed: TwoBoxes) -> Chick:
    shed.look("box-1", 20, 3, 1, hatched=(1,))
    shed.look("box-1", 28, 3, 1, ringed=(ChickRinged(egg_number=1, ring="HZ-26-001"),))
    return shed.clutch("box-1").chicks[0]


REFUSED_OF_CHICKS = [
    ("ring", f"HZ-26-001;{between(6)}", "Chick 1 can't be ringed before it hatched"),
    ("ring", "HZ-26-009;", "a ring, and when it was put on, belong together"),
    ("fate", f"died;{between(3)}", "before it hatched"),
    ("fate", f"died;{between(99)}", "is still to come"),
]


@pytest.mark.parametrize(("fact", "value", "words"), REFUSED_OF_CHICKS, ids=range(4))
def test_correction_of_a_chick_that_can_not_be_is_refused_with_the_reason(
    shed: TwoBoxes, fact: str, value: str, words: str
) -> None:
    chick = chick_of_egg_1(shed)
    with pytest.raises(InputError, match=words):
        correct(shed, Subject.CHICK, chick.id, fact, value)
    assert shed.clutch("box-1").chicks == (chick,)


def test_ring_that_another_wears_is_refused_and_its_own_is_not(shed: TwoBoxes) -> None:
    chick = chick_of_egg_1(shed)
    shed.book.add_bird(sex=shed.nest("box-1").pair.cock.sex, ring="HZ-24-007", name="Moss")  # type: ignore[union-attr]
    with pytest.raises(InputError, match=r"Ring hz-24-007 is on Moss \(cock\)"):
        correct(shed, Subject.CHICK, chick.id, "ring", f"hz-24-007;{between(28)}")
    correct(shed, Subject.CHICK, chick.id, "ring", f"HZ-26-001;{between(29)}")
    assert shed.clutch("box-1").chicks[0].ringed_at == at(29)


def test_egg_that_hatched_after_all_gets_its_chick_and_undoing_takes_it_back(
    shed: TwoBoxes,
) -> None:
    shed.look("box-1", 20, 3, lost=(EggLost(number=1, fate=EggFate.MISSING),))
    before = shed.clutch("box-1")
    told = correct(shed, Subject.EGG, before.eggs[0].id, "fate", f"hatched;{between(18, 20)}")
    (chick,) = shed.clutch("box-1").chicks
    assert (chick.egg_number, chick.hatched_from, chick.hatched_to) == (1, at(18), at(20))
    assert shed.look("box-1", 21, 3, 1).changes == ()
    undo(shed, told)
    assert shed.clutch("box-1") == before


def test_hatching_time_of_a_chick_is_that_of_its_egg(shed: TwoBoxes) -> None:
    chick = chick_of_egg_1(shed)
    egg = shed.egg("box-1", 1)
    correct(shed, Subject.EGG, egg.id, "fate", f"hatched;{between(18.5, 19)}")
    assert shed.clutch("box-1").chicks == (
        replace(chick, hatched_from=at(18.5), hatched_to=at(19)),
    )


def test_chick_of_which_more_is_known_does_not_vanish(shed: TwoBoxes) -> None:
    chick_of_egg_1(shed)
    egg = shed.egg("box-1", 1)
    with pytest.raises(InputError, match="more is known of it"):
        correct(shed, Subject.EGG, egg.id, "fate", f"addled;{between(18, 20)}")


def test_clutch_that_was_over_goes_on_when_a_fate_is_taken_back(shed: TwoBoxes) -> None:
    lost = tuple(EggLost(number=number, fate=EggFate.CLEAR) for number in (1, 2, 3, 4))
    shed.look("box-1", 20, 0, lost=lost)
    assert shed.clutch("box-1").closed_at == at(20)
    correct(shed, Subject.EGG, shed.egg("box-1", 3).id, "fate", None)
    assert shed.clutch("box-1").closed_at is None
    assert shed.look("box-1", 21, 1).changes == ()


def test_fate_is_not_taken_back_once_the_next_round_has_begun(shed: TwoBoxes) -> None:
    lost = tuple(EggLost(number=number, fate=EggFate.CLEAR) for number in (1, 2, 3, 4))
    shed.look("box-1", 20, 0, lost=lost)
    third = shed.egg("box-1", 3)
    shed.look("box-1", 22, 1)
    with pytest.raises(InputError, match="The next round in this box has begun"):
        correct(shed, Subject.EGG, third.id, "fate", None)


def test_fate_is_not_taken_back_once_another_pair_is_up(shed: TwoBoxes) -> None:
    shed.look(
        "box-1", 20, 0, lost=tuple(EggLost(number=n, fate=EggFate.CLEAR) for n in range(1, 5))
    )
    cock, hen = shed.book.add_bird(sex=Sex.COCK), shed.book.add_bird(sex=Sex.HEN)
    shed.book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=date(2026, 4, 1))
    with pytest.raises(InputError, match="Another pair was put up at Box 1 since"):
        correct(shed, Subject.EGG, shed.egg("box-1", 4).id, "fate", None)


def test_several_facts_are_corrected_together_or_not_at_all(shed: TwoBoxes) -> None:
    egg = shed.egg("box-1", 2)
    facts = {"laid": between(1, 2), "fate": f"broken;{between(8, 7)}"}
    with pytest.raises(InputError, match="first look after its fate"):
        shed.book.correct_all(Subject.EGG, egg.id, facts, at=LAST_DAY)
    assert shed.egg("box-1", 2) == egg


def test_move_that_never_was_is_taken_back_and_stands_again_when_that_is_undone(
    shed: TwoBoxes,
) -> None:
    shed.foster(shed.egg("box-1", 2), "box-1", "box-2", 8)
    before = shed.clutch("box-1")
    (move,) = before.eggs[1].moves
    told = correct(shed, Subject.MOVE, move.id, "move", None)
    assert shed.egg("box-1", 2).moves == ()
    assert shed.nest("box-2").guests == ()
    assert shed.look("box-1", 9, 4).changes == ()
    undo(shed, told)
    assert shed.clutch("box-1") == before
    assert [guest.egg.number for guest in shed.nest("box-2").guests] == [2]


def test_first_of_two_moves_is_not_taken_back_before_the_second(shed: TwoBoxes) -> None:
    egg = shed.egg("box-1", 2)
    shed.foster(egg, "box-1", "box-2", 8)
    shed.foster(egg, "box-2", "box-3", 9)
    first = shed.egg("box-1", 2).moves[0]
    with pytest.raises(InputError, match="it can't have gone from box-2"):
        correct(shed, Subject.MOVE, first.id, "move", None)


def test_move_with_a_semicolon_in_its_reason_comes_back_whole(shed: TwoBoxes) -> None:
    egg = shed.egg("box-1", 2)
    shed.book.move(
        [(egg.id, "box-1")],
        to_box="box-2",
        at=at(8),
        now=LAST_DAY,
        why="cold; off \\ nest",
        by="Jo",
    )
    before = shed.clutch("box-1")
    undo(shed, correct(shed, Subject.MOVE, before.eggs[1].moves[0].id, "move", None))
    assert shed.clutch("box-1") == before


def test_weighing_is_corrected_taken_back_and_stands_again(shed: TwoBoxes) -> None:
    shed.look("box-1", 8, 4, weighed=(Weighed(egg_number=2, mass_g=21.0),))
    clutch_id = shed.clutch("box-1").id
    (slip,) = shed.book.weighings_of(clutch_id)
    right = f"2.1;{told(slip.at)};{slip.egg_id};;"
    first = correct(shed, Subject.WEIGHING, slip.id, "mass", right)
    assert shed.book.weighings_of(clutch_id) == [replace(slip, mass_g=2.1)]
    second = correct(shed, Subject.WEIGHING, slip.id, "mass", None)
    assert shed.book.weighings_of(clutch_id) == []
    undo(shed, second)
    undo(shed, first)
    assert shed.book.weighings_of(clutch_id) == [slip]
    assert len(shed.book.corrections(clutch_id)) == 2


def test_egg_that_was_miscounted_is_taken_back_and_the_next_gets_its_number(
    shed: TwoBoxes,
) -> None:
    before = shed.clutch("box-1")
    told = correct(shed, Subject.EGG, before.eggs[3].id, "egg", None)
    assert len(shed.clutch("box-1").eggs) == 3
    undo(shed, told)
    assert shed.clutch("box-1") == before


def test_egg_before_others_or_of_which_more_is_known_is_not_taken_back(shed: TwoBoxes) -> None:
    with pytest.raises(InputError, match="Egg 4 is numbered after it"):
        correct(shed, Subject.EGG, shed.egg("box-1", 3).id, "egg", None)
    shed.look("box-1", 8, 4, weighed=(Weighed(egg_number=4, mass_g=2.1),))
    with pytest.raises(InputError, match="It was weighed"):
        correct(shed, Subject.EGG, shed.egg("box-1", 4).id, "egg", None)


@pytest.mark.parametrize(
    ("subject", "fact"),
    [
        (Subject.EGG, "laid"),
        (Subject.CHICK, "fate"),
        (Subject.MOVE, "move"),
        (Subject.WEIGHING, "mass"),
    ],
)
def test_subject_that_is_not_there_is_not_known(
    shed: TwoBoxes, subject: Subject, fact: str
) -> None:
    with pytest.raises(NotKnownError, match=f"no {subject} 99"):
        correct(shed, subject, 99, fact, None)


def test_fact_that_nobody_can_correct_is_not_known(shed: TwoBoxes) -> None:
    with pytest.raises(NotKnownError, match="egg: no 'number' can be corrected"):
        correct(shed, Subject.EGG, shed.egg("box-1", 1).id, "number", "7")


def test_mass_that_can_not_be_is_refused(shed: TwoBoxes) -> None:
    egg_id = shed.egg("box-1", 1).id
    for mass_g, days, words in ((0.0, 8, "0 g; allowed"), (2.1, -5, "before it was laid")):
        weighing = Weighing(id=0, egg_id=egg_id, mass_g=mass_g, at=at(days))
        with pytest.raises(InputError, match=words):
            shed.book.weigh(weighing, now=LAST_DAY)


def test_next_pair_is_refused_while_eggs_of_the_one_before_lie_there(shed: TwoBoxes) -> None:
    cock = shed.nest("box-1").pair.cock  # type: ignore[union-attr]
    hen = shed.book.add_bird(sex=shed.nest("box-1").pair.hen.sex)  # type: ignore[union-attr]
    on = (LAST_DAY - timedelta(days=1)).date()
    with pytest.raises(InputError, match="4 eggs of the pair before still are in Box 1"):
        shed.book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=on)
    for number in (1, 2, 3, 4):
        shed.foster(shed.egg("box-1", number), "box-1", "box-2", 8)
    pair = shed.book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=on)
    assert shed.clutch("box-1").closed_at == at(8)
    shed.look("box-1", 59.5, 1)
    assert (shed.clutch("box-1").pair_id, shed.clutch("box-1").round) == (pair.id, 1)
    assert len(shed.book.clutches_of(pair.id)) == 1
    assert len(shed.book.clutches_of_birds(cock.id, hen.id)) == 1


def test_story_told_and_half_undone_is_the_story_without_it(shed: TwoBoxes) -> None:
    """Fostering with a guest's fate told, corrected at home, and undone."""
    egg = shed.egg("box-1", 2)
    shed.foster(egg, "box-1", "box-2", 8)
    shed.look("box-2", 20, 0, 1, guests=(GuestSeen(egg_id=egg.id, hatched=True),))
    shed.look("box-2", 50, 0, 0, guests=(GuestSeen(egg_id=egg.id, gone=ChickFate.DIED),))
    before: Clutch = shed.clutch("box-1")
    fledged = f"fledged;{between(50)}"
    told = correct(shed, Subject.CHICK, before.chicks[0].id, "fate", fledged)
    assert shed.guest("box-2").chick == replace(before.chicks[0], fate=ChickFate.FLEDGED)
    undo(shed, told)
    assert shed.clutch("box-1") == before


def test_gone_chick_is_told_at_the_next_look_after_a_correction(shed: TwoBoxes) -> None:
    chick = chick_of_egg_1(shed)
    correct(shed, Subject.CHICK, chick.id, "ring", None)
    gone = (ChickGone(egg_number=1, fate=ChickFate.DIED),)
    assert shed.look("box-1", 30, 3, 0, gone=gone).changes == ("chick 1 died",)
