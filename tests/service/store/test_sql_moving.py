"""Eggs and chicks that go from box to box, in a real nest book."""

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from service.errors import InputError, NotKnownError
from service.nest_check_path import Asked
from service.nests.due_dates import due_dates
from service.nests.nest import (
    ChickFate,
    ChickGone,
    ChickRinged,
    EggFate,
    EggLost,
    GuestSeen,
    NestCheck,
    Weighed,
)
from service.nests.question import NOT_IN_SIGHT, QuestionKind
from service.nests.species import SpeciesSettings
from service.store.nest_book import ChangedMeanwhileError
from service.store.sql_records import open_records
from tests.service.store.fostering import LAST_DAY, TwoBoxes, at, two_boxes


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[TwoBoxes]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield two_boxes(records.nest_book)
    records.close()


@pytest.fixture
def laid(shed: TwoBoxes) -> TwoBoxes:
    """Four eggs in box 1 and three in box 2 by day 8."""
    shed.lay("box-1", 4)
    shed.lay("box-2", 3)
    return shed


def test_fostered_egg_is_a_guest_where_it_lies_and_keeps_its_parents(laid: TwoBoxes) -> None:
    second = laid.egg("box-1", 2)
    laid.foster(second, "box-1", "box-2", 8)
    guest = laid.guest("box-2")
    assert (guest.egg.id, guest.egg.number) == (second.id, 2)
    assert guest.clutch.pair_id == laid.clutch("box-1").pair_id
    assert [(m.from_box, m.to_box, m.why, m.by) for m in guest.egg.moves] == [
        ("box-1", "box-2", "to foster", "Mara")
    ]
    assert laid.nest("box-1").guests == ()


def test_looks_after_a_move_count_what_lies_in_each_box(laid: TwoBoxes) -> None:
    laid.foster(laid.egg("box-1", 2), "box-1", "box-2", 8)
    assert laid.look("box-1", 9, 3).changes == ()
    assert laid.look("box-2", 9, 4).changes == ()


def test_egg_that_is_away_is_asked_about_when_it_is_counted_at_home(laid: TwoBoxes) -> None:
    laid.foster(laid.egg("box-1", 2), "box-1", "box-2", 8)
    laid.look("box-1", 12, 3)
    answer = laid.try_look("box-2", 12, 3)
    assert isinstance(answer, Asked)
    (question,) = answer.questions
    assert question.kind is QuestionKind.FEWER_EGGS
    assert question.sentence == "4 eggs by the book, 3 now. What became of the other?"
    assert question.guests == (laid.egg("box-1", 2).id,)
    assert question.choices == (*EggFate, NOT_IN_SIGHT)


def test_egg_moved_twice_tells_one_story_in_both_books(laid: TwoBoxes) -> None:
    """The story: out to box 2, home again, and out once more; hatched, ringed, fledged there."""
    egg = laid.egg("box-1", 2)
    laid.foster(egg, "box-1", "box-2", 8)
    laid.look("box-2", 9, 4)
    laid.foster(egg, "box-2", "box-1", 10)
    laid.look("box-1", 11, 4)
    laid.look("box-2", 11, 3)
    laid.foster(egg, "box-1", "box-2", 12)
    hatched = GuestSeen(egg_id=egg.id, hatched=True)
    told = laid.look("box-2", 24, 3, 1, guests=(hatched,))
    assert told.changes == ("egg 2 of Box 1 hatched",)
    ringed = GuestSeen(egg_id=egg.id, ring="HZ-26-002")
    weighed = Weighed(egg_number=2, egg_id=egg.id, mass_g=14.5)
    told = laid.look("box-2", 32, 3, 1, guests=(ringed,), weighed=(weighed,))
    assert told.changes[0] == "chick 2 of Box 1 ringed HZ-26-002"
    gone = GuestSeen(egg_id=egg.id, gone=ChickFate.FLEDGED)
    laid.look("box-2", 55, 3, 0, guests=(gone,))

    home, foster = laid.clutch("box-1"), laid.nest("box-2")
    assert [(m.from_box, m.to_box) for m in home.eggs[1].moves] == [
        ("box-1", "box-2"),
        ("box-2", "box-1"),
        ("box-1", "box-2"),
    ]
    (chick,) = home.chicks
    assert (chick.egg_number, chick.ring, chick.fate) == (2, "HZ-26-002", ChickFate.FLEDGED)
    # Known as an egg until it was moved for the last time, as a chick from the look on.
    assert (chick.hatched_from, chick.hatched_to) == (at(12), at(24))
    (guest,) = foster.guests
    assert (guest.clutch, guest.egg, guest.chick) == (home, home.eggs[1], chick)
    assert foster.clutch is not None
    assert (len(foster.clutch.eggs), foster.clutch.chicks) == (3, ())
    (mass,) = laid.book.weighings_of(home.id)
    assert (mass.egg_id, mass.mass_g, mass.at) == (egg.id, 14.5, at(32))
    assert foster.clutch.pair_id != home.pair_id


def test_chick_is_moved_with_all_that_is_known_of_it(laid: TwoBoxes) -> None:
    laid.look("box-1", 20, 3, 1, hatched=(1,))
    laid.foster(laid.egg("box-1", 1), "box-1", "box-2", 20)
    laid.look("box-1", 21, 3, 0)
    laid.look("box-2", 21, 3, 1)
    guest = laid.guest("box-2")
    assert guest.chick == laid.clutch("box-1").chicks[0]


def test_two_moves_at_once_are_both_made_or_neither(laid: TwoBoxes) -> None:
    first, second = laid.clutch("box-1").eggs[:2]
    with pytest.raises(InputError, match=r"Egg 2 is not in Box 2 any more"):
        laid.book.move(
            [(first.id, "box-1"), (second.id, "box-2")], to_box="box-3", at=at(8), now=LAST_DAY
        )
    assert laid.egg("box-1", 1).moves == ()


REFUSED = [
    ("box-1", "box-2", 6, "The last look into Box 1 was on 17.03.2026 07:00"),
    ("box-1", "box-1", 8, "Egg 2 is in Box 1 already"),
    ("box-2", "box-3", 8, "Egg 2 is not in Box 2 any more"),
    ("box-1", "box-2", 61, "10.05.2026 07:00 is still to come"),
]


@pytest.mark.parametrize(("out_of", "into", "days", "words"), REFUSED)
def test_move_that_can_not_have_been_is_refused_with_the_reason(
    laid: TwoBoxes, out_of: str, into: str, days: float, words: str
) -> None:
    with pytest.raises(InputError, match=words):
        laid.foster(laid.egg("box-1", 2), out_of, into, days)
    assert laid.egg("box-1", 2).moves == ()


def test_egg_with_a_fate_is_moved_no_more(laid: TwoBoxes) -> None:
    laid.look("box-1", 9, 3, lost=(EggLost(number=2, fate=EggFate.BROKEN),))
    with pytest.raises(InputError, match="Egg 2 is known as broken already"):
        laid.foster(laid.egg("box-1", 2), "box-1", "box-2", 10)


def test_egg_or_box_that_nobody_knows_is_not_known(laid: TwoBoxes) -> None:
    with pytest.raises(NotKnownError, match="no egg 99"):
        laid.book.move([(99, "box-1")], to_box="box-2", at=at(8), now=LAST_DAY)
    with pytest.raises(NotKnownError, match="no nest box 'box-9'"):
        laid.foster(laid.egg("box-1", 1), "box-1", "box-9", 8)


def test_look_told_for_an_instant_before_a_move_is_asked_about(laid: TwoBoxes) -> None:
    laid.foster(laid.egg("box-1", 2), "box-1", "box-2", 8)
    answer = laid.try_look("box-1", 7.5, 4)
    assert isinstance(answer, Asked)
    assert [question.kind for question in answer.questions] == [QuestionKind.OLDER]


def test_round_whose_eggs_all_went_away_ends_and_the_next_begins(laid: TwoBoxes) -> None:
    for number in (1, 2, 3, 4):
        laid.foster(laid.egg("box-1", number), "box-1", "box-2", 8)
    laid.look("box-2", 8, 7)
    assert laid.look("box-1", 20, 0).changes == ("round 1 is over",)
    assert laid.look("box-1", 22, 1).changes == ("round 2 begins", "egg 1 found")
    assert [guest.egg.fate for guest in laid.nest("box-2").guests] == [None] * 4


def test_round_that_was_over_goes_on_when_an_egg_comes_home(laid: TwoBoxes) -> None:
    for number in (1, 2, 3, 4):
        laid.foster(laid.egg("box-1", number), "box-1", "box-2", 8)
    laid.look("box-1", 20, 0)
    laid.foster(laid.egg("box-1", 3), "box-2", "box-1", 21)
    assert laid.clutch("box-1").closed_at is None
    assert laid.look("box-1", 22, 1).changes == ()


def test_egg_that_comes_home_to_the_next_round_is_a_guest_of_its_own_parents(
    laid: TwoBoxes,
) -> None:
    laid.foster(laid.egg("box-1", 4), "box-1", "box-2", 8)
    late = laid.egg("box-1", 4)
    lost = tuple(EggLost(number=number, fate=EggFate.CLEAR) for number in (1, 2, 3))
    laid.look("box-1", 20, 0, lost=lost)
    laid.look("box-1", 22, 1)
    laid.foster(late, "box-2", "box-1", 23)
    nest = laid.nest("box-1")
    assert [guest.egg.id for guest in nest.guests] == [late.id]
    assert nest.clutch is not None
    assert nest.clutch.round == 2
    seen = GuestSeen(egg_id=late.id, hatched=True)
    assert laid.look("box-1", 24, 1, 1, guests=(seen,)).changes == ("egg 4 of round 1 hatched",)


def test_ring_is_given_once_in_the_whole_book(laid: TwoBoxes) -> None:
    laid.look("box-1", 20, 3, 1, hatched=(1,))
    laid.look("box-1", 29, 3, 1, ringed=(ChickRinged(egg_number=1, ring="HZ-26-001"),))
    laid.look("box-2", 22, 2, 1, hatched=(1,))
    ringed = (ChickRinged(egg_number=1, ring="hz-26-001"),)
    answer = laid.try_look("box-2", 30, 2, 1, ringed=ringed)
    assert isinstance(answer, Asked)
    (question,) = answer.questions
    assert question.sentence == "Ring hz-26-001 is on chick 1 of Box 1. Which ring has chick 1?"


def test_look_that_was_compared_before_a_move_is_compared_again(laid: TwoBoxes) -> None:
    read = laid.nest("box-2")
    laid.foster(laid.egg("box-1", 2), "box-1", "box-2", 8)
    with pytest.raises(ChangedMeanwhileError):
        laid.book.record(
            NestCheck(form_id=uuid4(), box="box-2", at=at(9), eggs=3, chicks=0),
            read.clutch,
            based_on=read.revision,
        )


def test_what_a_foster_box_tells_is_news_to_whoever_read_the_home_box(laid: TwoBoxes) -> None:
    egg = laid.egg("box-1", 2)
    laid.foster(egg, "box-1", "box-2", 8)
    read = laid.nest("box-1").revision
    broken = GuestSeen(egg_id=egg.id, lost=EggFate.BROKEN)
    laid.look("box-2", 9, 3, guests=(broken,))
    assert laid.nest("box-1").revision > read
    assert laid.egg("box-1", 2).fate is EggFate.BROKEN


def test_guest_of_last_year_is_no_guest_of_this_years_clutch(laid: TwoBoxes) -> None:
    egg = laid.egg("box-1", 2)
    laid.foster(egg, "box-1", "box-2", 8)
    broken = GuestSeen(egg_id=egg.id, lost=EggFate.BROKEN)
    lost = tuple(EggLost(number=number, fate=EggFate.CLEAR) for number in (1, 2, 3))
    laid.look("box-2", 20, 0, guests=(broken,), lost=lost)
    assert [guest.egg.id for guest in laid.nest("box-2").guests] == [egg.id]
    laid.look("box-2", 40, 1)
    assert laid.nest("box-2").guests == ()


def test_fledged_guest_is_weaned_later(laid: TwoBoxes) -> None:
    egg = laid.egg("box-1", 1)
    laid.foster(egg, "box-1", "box-2", 8)
    laid.look("box-2", 20, 3, 1, guests=(GuestSeen(egg_id=egg.id, hatched=True),))
    for days, fate in ((50, ChickFate.FLEDGED), (58, ChickFate.WEANED)):
        laid.look("box-2", days, 3, 0, guests=(GuestSeen(egg_id=egg.id, gone=fate),))
    assert laid.clutch("box-1").chicks[0].fate is ChickFate.WEANED


def test_chick_gone_at_home_is_told_in_the_box_it_is_in(laid: TwoBoxes) -> None:
    laid.look("box-1", 20, 3, 1, hatched=(1,))
    laid.foster(laid.egg("box-1", 1), "box-1", "box-2", 20)
    gone = (ChickGone(egg_number=1, fate=ChickFate.DIED),)
    answer = laid.try_look("box-1", 21, 3, 0, gone=gone)
    assert isinstance(answer, Asked)
    assert answer.questions[0].sentence == (
        "Chick 1 is in another box; tell of it there. Which one did you mean?"
    )


def test_egg_not_in_sight_was_last_known_when_a_look_saw_it(laid: TwoBoxes) -> None:
    laid.foster(laid.egg("box-1", 4), "box-1", "box-2", 8)
    guest = laid.egg("box-1", 4).id
    for day in (9, 10):
        laid.look("box-1", day, 2, not_in_sight=(2,))
        laid.look("box-2", day, 3, guests=(GuestSeen(egg_id=guest, not_in_sight=True),))
    laid.look("box-1", 11, 2, lost=(EggLost(number=2, fate=EggFate.MISSING),))
    laid.look("box-2", 11, 3, guests=(GuestSeen(egg_id=guest, lost=EggFate.MISSING),))
    own, moved = laid.egg("box-1", 2), laid.egg("box-1", 4)
    assert (own.fate_from, own.fate_to) == (at(7), at(11))
    assert (moved.fate_from, moved.fate_to) == (at(8), at(11))


def test_youngster_stays_with_those_who_reared_it_when_they_begin_the_next_round(
    laid: TwoBoxes,
) -> None:
    guest = laid.egg("box-1", 4).id
    laid.foster(laid.egg("box-1", 4), "box-1", "box-2", 8)
    clear = tuple(EggLost(number=n, fate=EggFate.CLEAR) for n in (1, 2, 3))
    laid.look("box-2", 25, 0, 1, lost=clear, guests=(GuestSeen(egg_id=guest, hatched=True),))
    out = GuestSeen(egg_id=guest, gone=ChickFate.FLEDGED)
    laid.look("box-2", 54, 0, guests=(out,))
    laid.look("box-2", 56, 1)
    assert laid.clutch("box-2").round == 2
    assert laid.guest("box-2").egg.id == guest
    nest = laid.nest("box-2")
    fed = [due.egg_id for due in due_dates(nest, SpeciesSettings(), at(57)) if due.laid_in]
    assert fed == [guest, guest]  # to feed itself, and to be parted
