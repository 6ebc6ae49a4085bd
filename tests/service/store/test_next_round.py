"""The next round begins over the young of the last, in a real nest book."""

from collections.abc import Iterator
from datetime import UTC, date
from pathlib import Path
from uuid import uuid4

import pytest

from service.book.exporting import export_book
from service.book.folder import read_folder
from service.book.importing import import_book
from service.errors import InputError
from service.nest_check_path import Asked, Recorded
from service.nests.book_correction import Subject
from service.nests.closing import in_the_way
from service.nests.due import DueKind
from service.nests.due_dates import due_dates
from service.nests.nest import ChickFate, ChickGone, ChickRinged, GuestSeen, NestCheck, Sex, Weighed
from service.nests.question import QuestionKind
from service.nests.species import SpeciesSettings
from service.store.sql_records import Records, open_records
from tests.service.store.fostering import LAST_DAY, TwoBoxes, at, two_boxes

OUT = ChickFate.FLEDGED


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    yield opened
    opened.close()


@pytest.fixture
def shed(records: Records) -> TwoBoxes:
    """Three chicks in box 1, the oldest hatched on day 19; the last egg was laid on day 5."""
    told = two_boxes(records.nest_book)
    told.lay("box-1", 3)
    for number, day in ((1, 19), (2, 21), (3, 23)):
        told.look("box-1", day, 3 - number, number, hatched=(number,))
    return told


def test_egg_beside_grown_chicks_begins_the_next_round(shed: TwoBoxes) -> None:
    gone = (ChickGone(egg_number=1, fate=OUT),)
    ringed = (ChickRinged(egg_number=3, ring="HZ-26-003"),)
    answer = shed.look("box-1", 50, 1, 2, gone=gone, ringed=ringed)
    assert answer.changes == (
        "round 2 begins",
        "egg 1 found",
        "chick 1 of round 1 fledged",
        "chick 3 of round 1 ringed HZ-26-003",
    )
    first, second = shed.book.clutches_in("box-1")
    assert [chick.fate for chick in first.chicks] == [OUT, None, None]
    assert (first.closed_at, len(first.eggs)) == (at(50), 3)
    assert (second.round, len(second.eggs), second.closed_at) == (2, 1, None)
    assert [guest.egg.number for guest in shed.nest("box-1").guests] == [2, 3]


def test_egg_soon_after_the_first_chick_is_of_the_same_round(shed: TwoBoxes) -> None:
    shed.look("box-1", 25, 1, 3)
    assert [clutch.round for clutch in shed.book.clutches_in("box-1")] == [1]


def test_both_rounds_have_their_dates(shed: TwoBoxes) -> None:
    shed.look("box-1", 50, 1, 2, gone=(ChickGone(egg_number=1, fate=OUT),))
    dues = due_dates(shed.nest("box-1"), SpeciesSettings(), at(50))
    first, second = shed.book.clutches_in("box-1")
    of = {egg.id: f"1.{egg.number}" for egg in first.eggs}
    of |= {egg.id: f"2.{egg.number}" for egg in second.eggs}
    told = {(due.kind, of[due.egg_id]) for due in dues if due.egg_id is not None}
    assert {kind for kind, _ in told if kind is DueKind.NEXT_EGG} == set()
    assert DueKind.NEXT_EGG in {due.kind for due in dues}
    assert {(DueKind.INDEPENDENT, "1.1"), (DueKind.FLEDGE, "1.2"), (DueKind.HATCH, "2.1")} <= told


def test_young_of_the_round_before_are_told_of_as_guests_and_leave(shed: TwoBoxes) -> None:
    shed.look("box-1", 50, 1, 3)
    ids = [guest.egg.id for guest in shed.nest("box-1").guests]
    out = tuple(GuestSeen(egg_id=egg_id, gone=OUT) for egg_id in ids)
    answer = shed.look("box-1", 54, 3, 0, guests=out)
    assert answer.changes[:2] == ("egg 2 found", "egg 3 found")
    assert shed.nest("box-1").guests == ()
    before = shed.nest("box-1").before
    assert before is not None
    assert {chick.fate for chick in before.chicks} == {OUT}


def test_question_at_that_look_is_asked_in_the_numbers_of_the_form(shed: TwoBoxes) -> None:
    answer = shed.try_look("box-1", 50, 1, 2)
    assert isinstance(answer, Asked)
    (question,) = answer.questions
    assert question.kind is QuestionKind.FEWER_CHICKS
    assert (question.numbers, question.guests) == ((1, 2, 3), ())


def test_young_stand_in_the_way_of_another_pair_and_of_closing(shed: TwoBoxes) -> None:
    shed.look("box-1", 50, 1, 3)
    assert in_the_way([shed.nest("box-1")])[0].startswith("Box 1: 1 egg, 3 guests")
    cock, hen = shed.book.add_bird(sex=Sex.COCK), shed.book.add_bird(sex=Sex.HEN)
    with pytest.raises(InputError, match="3 chicks of the pair before still are in Box 1"):
        shed.book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=date(2026, 5, 8))


def test_fact_of_the_round_before_is_corrected_though_its_young_are_there(shed: TwoBoxes) -> None:
    ringed = (ChickRinged(egg_number=3, ring="HZ-26-003"),)
    shed.look("box-1", 50, 1, 3, ringed=ringed)
    chick = shed.book.clutches_in("box-1")[0].chicks[2]
    told = f"HZ-26-030;{at(50).isoformat()}"
    shed.book.correct(Subject.CHICK, chick.id, "ring", told, at=LAST_DAY)
    assert shed.book.clutches_in("box-1")[0].chicks[2].ring == "HZ-26-030"


def test_book_with_both_rounds_is_exported_and_imported(
    shed: TwoBoxes, records: Records, tmp_path: Path
) -> None:
    gone, weighed = ChickGone(egg_number=3, fate=OUT), Weighed(egg_number=2, mass_g=31.5)
    shed.look("box-1", 50, 1, 2, gone=(gone,), weighed=(weighed,))
    export_book(records.book_copy.rows(), tmp_path / "book")
    other = open_records("sqlite:///other.db", tmp_path)
    other.nest_book.put_places(shed.book.places())
    read = read_folder(tmp_path / "book")
    import_book(read, other.book_copy, shed.book.places(), now=LAST_DAY, zone=UTC)
    assert other.book_copy.rows() == records.book_copy.rows()
    other.close()


def test_mass_of_the_young_is_kept_for_them(shed: TwoBoxes) -> None:
    first = shed.clutch("box-1")
    shed.look("box-1", 50, 1, 3, weighed=(Weighed(egg_number=2, mass_g=31.5),))
    assert [one.egg_id for one in shed.book.weighings_of(first.id)] == [first.eggs[1].id]


def test_form_that_is_sent_again_is_known_for_the_same(shed: TwoBoxes) -> None:
    gone = (ChickGone(egg_number=3, fate=OUT),)
    check = NestCheck(form_id=uuid4(), box="box-1", at=at(50), eggs=1, chicks=2, gone=gone)
    first, again = shed.path.record(check), shed.path.record(check)
    assert isinstance(first, Recorded)
    assert isinstance(again, Recorded)
    assert (first.already, again.already, again.differs) == (False, True, False)
