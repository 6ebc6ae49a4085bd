"""Suggestions of other parts, and what people said to them."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import insert

from service.errors import InputError, NotKnownError
from service.nests.place import Place, PlaceKind
from service.nests.suggestion import LATER, Answer
from service.store.sql_duty_tables import SUGGESTIONS
from service.store.sql_records import Records, open_records
from service.store.sql_suggestions import SqlSuggestions

NOW = datetime(2026, 4, 21, 8, tzinfo=UTC)
WORDS = "The hen of Box 1 was heavier than ever at 6:10. Is there an egg?"


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    records = open_records("sqlite:///records.db", tmp_path)
    box = Place(id="box-1", kind=PlaceKind.BOX, name="Box 1")
    records.nest_book.put_places([box])
    yield records
    records.close()


@pytest.fixture
def kept(records: Records) -> SqlSuggestions:
    return SqlSuggestions(records.transactions)


def suggest(kept: SqlSuggestions, at: datetime = NOW, words: str = WORDS) -> int:
    return kept.suggest(place="box-1", kind="egg", words=words, at=at).id


def test_a_row_that_another_part_wrote_is_asked(records: Records, kept: SqlSuggestions) -> None:
    row = {"place": "box-1", "made_at": NOW, "kind": "egg", "words": WORDS}
    records.transactions.write(lambda found: found.execute(insert(SUGGESTIONS).values(row)))
    (asked,) = kept.suggestions(NOW)
    assert (asked.place, asked.words, asked.is_open(NOW)) == ("box-1", WORDS, True)


def test_the_same_suggestion_is_asked_once(kept: SqlSuggestions) -> None:
    assert suggest(kept) == suggest(kept, NOW + timedelta(hours=1))
    assert len(kept.suggestions(NOW)) == 1


def test_one_that_was_answered_may_be_made_again(kept: SqlSuggestions) -> None:
    first = suggest(kept)
    kept.answer(first, Answer.NO, at=NOW, by="Mara")
    assert suggest(kept, NOW + timedelta(days=1)) != first


def test_who_answers_first_is_heard(kept: SqlSuggestions) -> None:
    number = suggest(kept)
    kept.answer(number, Answer.YES, at=NOW, by="Mara")
    stands = kept.answer(number, Answer.NO, at=NOW + timedelta(minutes=1), by="Jo")
    assert (stands.answer, stands.answered_by, stands.answered_at) == (Answer.YES, "Mara", NOW)


def test_an_answer_can_be_taken_back_and_given_anew(kept: SqlSuggestions) -> None:
    number = suggest(kept)
    kept.answer(number, Answer.YES, at=NOW, by="Mara")
    assert kept.answer(number, None, at=NOW, by="Mara").is_open(NOW)
    assert kept.answer(number, Answer.NO, at=NOW, by="Jo").answer is Answer.NO


def test_later_is_quiet_and_asks_again(kept: SqlSuggestions) -> None:
    number = suggest(kept)
    put_off = kept.answer(number, Answer.LATER, at=NOW, by="Mara", later_until=NOW + LATER)
    assert not put_off.is_open(NOW + LATER - timedelta(seconds=1))
    assert put_off.is_open(NOW + LATER)
    assert [one.id for one in kept.suggestions(NOW + timedelta(days=3))] == [number]


def test_what_was_settled_before_is_not_listed(kept: SqlSuggestions) -> None:
    kept.answer(suggest(kept), Answer.NO, at=NOW, by=None)
    assert len(kept.suggestions(NOW)) == 1
    assert kept.suggestions(NOW + timedelta(seconds=1)) == []


def test_a_suggestion_for_nowhere_or_without_words_is_refused(kept: SqlSuggestions) -> None:
    with pytest.raises(NotKnownError, match="box-9"):
        kept.suggest(place="box-9", kind="egg", words=WORDS, at=NOW)
    with pytest.raises(InputError, match="without words"):
        suggest(kept, words="  ")


def test_an_answer_to_nothing_is_refused(kept: SqlSuggestions) -> None:
    with pytest.raises(NotKnownError, match="no suggestion 7"):
        kept.answer(7, Answer.YES, at=NOW, by=None)
