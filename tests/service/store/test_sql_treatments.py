"""Treatments told and undone, in a real SQLite file."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest

from service.errors import InputError, NotKnownError
from service.nests.treatment import Against
from service.store.sql_records import open_records
from service.store.sql_treatments import SqlTreatments

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[SqlTreatments]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield records.treatments
    records.close()


def test_what_was_told_is_read_again_oldest_first(kept: SqlTreatments) -> None:
    later = kept.tell("box-1", Against.MITES, at=NOON + HOUR, by="Ann", form_id=uuid4())
    first = kept.tell(
        "shed", Against.MOULD, at=NOON, words=" wiped  dry ", by=None, form_id=uuid4()
    )
    assert list(kept.treatments()) == [first, later]
    assert first.words == "wiped dry"
    assert later.stands


def test_a_form_sent_twice_is_one_treatment(kept: SqlTreatments) -> None:
    form = uuid4()
    one = kept.tell("shed", Against.MITES, at=NOON, by="Ann", form_id=form)
    assert kept.tell("shed", Against.MITES, at=NOON + HOUR, by="Ann", form_id=form) == one
    assert len(kept.treatments()) == 1


def test_an_undone_one_stays_in_the_book_and_comes_back_as_it_was(kept: SqlTreatments) -> None:
    one = kept.tell("shed", Against.MITES, at=NOON, by="Ann", form_id=uuid4())
    kept.undo(one.id, at=NOON + HOUR, by="Bob")
    kept.undo(one.id, at=NOON + 2 * HOUR, by="Cas")
    [undone] = kept.treatments()
    assert not undone.stands
    assert (undone.undone_at, undone.undone_by) == (NOON + HOUR, "Bob")
    kept.put_back(one.id)
    assert list(kept.treatments()) == [one]


def test_one_that_never_was_is_told_so(kept: SqlTreatments) -> None:
    with pytest.raises(NotKnownError, match="never told"):
        kept.undo(7, at=NOON, by=None)


def test_words_that_are_too_long_are_refused_and_nothing_is_kept(kept: SqlTreatments) -> None:
    with pytest.raises(InputError, match="81 letters are too many"):
        kept.tell("shed", Against.MITES, at=NOON, words="x" * 81, by=None, form_id=uuid4())
    assert not kept.treatments()
