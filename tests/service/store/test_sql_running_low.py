"""What runs low, in a real SQLite file."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service.errors import InputError, NotKnownError
from service.store.sql_records import open_records
from service.store.sql_running_low import SqlRunningLow

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.fixture
def low(tmp_path: Path) -> Iterator[SqlRunningLow]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield records.running_low
    records.close()


def words(low: SqlRunningLow) -> list[str]:
    return [one.what for one in low.open()]


def test_what_is_added_twice_stands_once_as_it_was_said_first(low: SqlRunningLow) -> None:
    first = low.add("Seed ", at=NOON, by="Ann")
    again = low.add("seed", at=NOON + HOUR, by="Bob")
    assert again == first
    assert (first.what, first.added_by) == ("Seed", "Ann")
    assert words(low) == ["Seed"]


def test_what_was_struck_leaves_the_list_and_is_offered_again(low: SqlRunningLow) -> None:
    for what in ("Seed", "Grit", "Soft food"):
        low.strike(low.add(what, at=NOON, by="Ann").id, at=NOON + HOUR, by="Bob")
    low.add("grit", at=NOON + 2 * HOUR, by="Ann")
    assert words(low) == ["grit"]
    assert low.earlier() == ["Soft food", "Seed"]
    assert low.earlier(1) == ["Soft food"]


def test_striking_twice_keeps_who_did_it_first(low: SqlRunningLow) -> None:
    one = low.add("Seed", at=NOON, by="Ann")
    low.strike(one.id, at=NOON, by="Ann")
    low.strike(one.id, at=NOON + HOUR, by="Bob")
    low.put_back(one.id)
    assert words(low) == ["Seed"]


def test_putting_back_what_was_added_anew_adds_no_second(low: SqlRunningLow) -> None:
    one = low.add("Seed", at=NOON, by="Ann")
    low.strike(one.id, at=NOON, by="Ann")
    low.add("SEED", at=NOON, by="Ann")
    low.put_back(one.id)
    assert words(low) == ["SEED"]


@pytest.mark.parametrize("what", ["", "  ", "x" * 81, "se\u202eed", "se\x00ed"])
def test_no_words_or_too_many_are_refused(low: SqlRunningLow, what: str) -> None:
    with pytest.raises(InputError):
        low.add(what, at=NOON, by=None)
    assert words(low) == []


def test_what_was_never_on_the_list_is_refused(low: SqlRunningLow) -> None:
    with pytest.raises(NotKnownError):
        low.strike(3, at=NOON, by=None)
    with pytest.raises(NotKnownError):
        low.put_back(3)
