"""The walk of a nest check, on a real nest book."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from service.clock import FixedClock
from service.errors import NotKnownError
from service.nest_check_path import Asked, NestCheckPath, Recorded, Seen
from service.nests.as_seen import sign_of
from service.nests.due import DueKind
from service.nests.nest import EggFate, EggLost, NestCheck, Sex
from service.nests.place import Place, PlaceKind
from service.nests.question import QuestionKind
from service.store.nest_book import NestBook
from service.store.sql_records import open_records

MORNING = datetime(2026, 3, 10, 7, tzinfo=UTC)
LAST_DAY = MORNING + timedelta(days=30)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[NestBook]:
    records = open_records("sqlite:///records.db", tmp_path)
    nest_book = records.nest_book
    nest_book.put_places(
        [
            Place(id="cage-1", kind=PlaceKind.CAGE, name="Cage 1"),
            Place(id="box-1", kind=PlaceKind.BOX, name="Box 1", within="cage-1"),
        ]
    )
    cock, hen = nest_book.add_bird(sex=Sex.COCK), nest_book.add_bird(sex=Sex.HEN)
    nest_book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=date(2026, 3, 1))
    yield nest_book
    records.close()


@pytest.fixture
def path(book: NestBook) -> NestCheckPath:
    return NestCheckPath(book, FixedClock(LAST_DAY))


def look(days: float, eggs: int, chicks: int = 0, **more: Any) -> NestCheck:
    at = MORNING + timedelta(days=days)
    return NestCheck(form_id=uuid4(), box="box-1", at=at, eggs=eggs, chicks=chicks, **more)


def recorded(path: NestCheckPath, check: NestCheck) -> Recorded:
    answer = path.record(check)
    assert isinstance(answer, Recorded)
    return answer


def test_check_is_stored_and_handed_back_with_what_is_to_come(
    path: NestCheckPath, book: NestBook
) -> None:
    recorded(path, look(0, 0))
    check = look(1, 1)
    answer = recorded(path, check)
    assert answer.changes == ("round 1 begins", "egg 1 found")
    assert answer.nest == book.nest("box-1")
    assert answer.nest.checks[-1] == check
    assert DueKind.HATCH in [due.kind for due in answer.dues]
    assert (answer.already, answer.differs) == (False, False)


def test_form_sent_again_is_the_same_check_with_the_same_answer(
    path: NestCheckPath, book: NestBook
) -> None:
    check = look(1, 1)
    first = recorded(path, check)
    recorded(path, look(3, 2))
    again = recorded(path, check)
    assert again.already
    assert again.changes == first.changes
    assert not again.differs
    assert len(book.nest("box-1").checks) == 2


def test_form_sent_again_with_other_numbers_says_so_and_changes_nothing(
    path: NestCheckPath, book: NestBook
) -> None:
    check = look(1, 1)
    recorded(path, check)
    again = recorded(path, replace(check, eggs=2))
    assert (again.already, again.differs) == (True, True)
    assert book.check(str(check.form_id)) == check


def test_question_stores_nothing_and_the_answer_goes_under_the_same_form(
    path: NestCheckPath, book: NestBook
) -> None:
    for days, eggs in ((1, 1), (3, 2), (5, 3), (7, 4)):
        recorded(path, look(days, eggs))
    check = look(8, 3)
    asked = path.record(check)
    assert isinstance(asked, Asked)
    assert [question.kind for question in asked.questions] == [QuestionKind.FEWER_EGGS]
    assert asked.nest == book.nest("box-1")
    assert book.check(str(check.form_id)) is None
    lost = (EggLost(number=2, fate=EggFate.BROKEN),)
    answered = recorded(path, replace(check, lost=lost))
    assert answered.changes == ("egg 2 broken",)
    assert not answered.already


def test_one_form_sent_eight_times_at_once_is_one_check(
    path: NestCheckPath, book: NestBook
) -> None:
    check = look(1, 1)
    with ThreadPoolExecutor(8) as phones:
        answers = list(phones.map(lambda _: recorded(path, check), range(8)))
    assert sorted(answer.already for answer in answers) == [False] + [True] * 7
    assert all(answer.changes == ("round 1 begins", "egg 1 found") for answer in answers)
    assert book.nest("box-1").checks == (check,)


def test_two_keepers_who_find_the_same_egg_have_found_one_egg(
    path: NestCheckPath, book: NestBook
) -> None:
    recorded(path, look(0, 0))
    forms = [look(1, 1) for _ in range(8)]
    with ThreadPoolExecutor(8) as phones:
        answers = list(phones.map(lambda form: recorded(path, form), forms))
    clutch = book.nest("box-1").clutch
    assert clutch is not None
    assert [egg.number for egg in clutch.eggs] == [1]
    assert max(answer.changes for answer in answers) == ("round 1 begins", "egg 1 found")
    assert [answer.changes for answer in answers].count(()) == 7
    assert len(book.nest("box-1").checks) == 9


def test_moving_the_day_she_sat_moves_the_right_spans_and_no_others(
    path: NestCheckPath, book: NestBook
) -> None:
    for days, eggs in ((0, 0), (1, 1), (3, 2), (5, 3)):
        before = recorded(path, look(days, eggs))
    assert before.nest.clutch is not None
    told = MORNING + timedelta(days=2)
    book.set_sitting_from(before.nest.clutch.id, told, by="Ida", now=LAST_DAY)
    after = recorded(path, look(5.1, 3))
    was = {(due.kind, due.egg_number): (due.since, due.until) for due in before.dues}
    now = {(due.kind, due.egg_number): (due.since, due.until) for due in after.dues}
    # Egg 1 waited for the hen; egg 2 was laid between day 1 and 3, so at the latest a day
    # after she sat; egg 3 was laid under her.
    assert now[(DueKind.HATCH, 1)] == (told + timedelta(days=17), told + timedelta(days=20))
    assert now[(DueKind.HATCH, 2)] != was[(DueKind.HATCH, 2)]
    assert now[(DueKind.HATCH, 3)] == was[(DueKind.HATCH, 3)]
    assert now[(DueKind.NEXT_EGG, 4)] == was[(DueKind.NEXT_EGG, 4)]


def test_unknown_box_is_not_known(path: NestCheckPath) -> None:
    with pytest.raises(NotKnownError, match="box-9"):
        path.record(replace(look(1, 1), box="box-9"))


def test_check_outlives_the_process_that_took_it(tmp_path: Path, path: NestCheckPath) -> None:
    check = look(1, 1)
    recorded(path, check)
    other = open_records("sqlite:///records.db", tmp_path)
    assert other.nest_book.nest("box-1").checks == (check,)
    other.close()


def test_foreseen_is_what_is_recorded_and_leaves_the_book_alone(
    path: NestCheckPath, book: NestBook
) -> None:
    recorded(path, look(0, 0))
    before = book.nest("box-1")
    check = look(2, 1, note="warm")
    foreseen = path.foresee(check)
    assert book.nest("box-1") == before
    assert foreseen.changes == recorded(path, check).changes == ("round 1 begins", "egg 1 found")
    assert path.foresee(check).already


def test_foreseen_question_is_the_one_that_is_asked(path: NestCheckPath) -> None:
    recorded(path, look(0, 2))
    check = look(1, 1)
    asked = path.record(check)
    assert isinstance(asked, Asked)
    assert path.foresee(check).questions == asked.questions


def test_page_that_showed_another_nest_is_asked_first_and_told_why(
    path: NestCheckPath, book: NestBook
) -> None:
    recorded(path, look(0, 1))
    seen = _shown(book)
    recorded(path, look(2, 2, by="Jo"))
    mine = look(2.1, 1)
    asked = path.record(mine, seen=seen)
    assert isinstance(asked, Asked)
    assert [one.kind for one in asked.questions] == [QuestionKind.MEANWHILE]
    assert "Jo, 12 March 07:00: egg 2 found" in asked.questions[0].sentence
    answer = path.record(replace(mine, eggs=2), seen=_shown(book))
    assert isinstance(answer, Recorded)
    assert len(book.nest("box-1").checks) == 3


def test_page_that_showed_the_same_nest_is_not_asked_after_a_plain_look(
    path: NestCheckPath, book: NestBook
) -> None:
    recorded(path, look(0, 1))
    seen = _shown(book)
    recorded(path, look(0.5, 1))
    assert isinstance(path.record(look(0.6, 1), seen=seen), Recorded)


def test_look_that_is_stored_is_not_asked_again_though_its_page_is_stale(
    path: NestCheckPath, book: NestBook
) -> None:
    check = look(0, 1)
    seen = _shown(book)
    path.record(check, seen=seen)
    again = path.record(check, seen=seen)
    assert isinstance(again, Recorded)
    assert (again.already, again.differs) == (True, False)


def _shown(book: NestBook) -> Seen:
    nest = book.nest("box-1")
    return Seen(sign=sign_of(nest), last_look=str(nest.checks[-1].form_id) if nest.checks else "")
