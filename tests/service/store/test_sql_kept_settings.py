"""The settings made on pages, and the record of changes, on a real SQLite file."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import update

from service.store.kept_settings import Change, Kept, UnreadableSettingsError
from service.store.nest_book import ChangedMeanwhileError
from service.store.sql_records import Records, open_records
from service.store.sql_tables import KEPT_SETTINGS

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
DOCUMENT = {
    "shed": {"name": "Häsel “shed”", "latitude": 53.2},
    "sensor": [{"device": "th-1", "place": "shed", "interval": "60 s", "measures": {}}],
}


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    yield opened
    opened.close()


def change(what: str = "something", hours: int = 0) -> Change:
    return Change(at=NOON + timedelta(hours=hours), by="Ida", what=what, before="a", after="b")


def damage(records: Records, text: str) -> None:
    spoil = update(KEPT_SETTINGS).values(document=text)
    records.transactions.write(lambda connection: connection.execute(spoil))


def test_before_anything_was_set_the_document_is_empty(records: Records) -> None:
    assert records.kept.read() == Kept(document={}, revision=0)
    assert records.kept.revision() == 0


def test_a_document_comes_back_as_it_was_put(records: Records) -> None:
    assert records.kept.put(DOCUMENT, based_on=0, change=change()) == 1
    assert records.kept.read() == Kept(document=DOCUMENT, revision=1)


def test_each_change_has_a_revision_and_a_line(records: Records) -> None:
    for revision, what in enumerate(("first", "second", "third")):
        records.kept.put(DOCUMENT, based_on=revision, change=change(what))
    assert records.kept.revision() == 3
    assert [line.what for line in records.changes.changes()] == ["third", "second", "first"]


def test_a_change_of_what_another_changed_meanwhile_is_refused_whole(
    tmp_path: Path, records: Records
) -> None:
    other = open_records("sqlite:///records.db", tmp_path)
    other.kept.put(DOCUMENT, based_on=0, change=change("other"))
    other.close()
    with pytest.raises(ChangedMeanwhileError):
        records.kept.put({}, based_on=0, change=change("mine"))
    assert records.kept.read() == Kept(document=DOCUMENT, revision=1)
    assert [line.what for line in records.changes.changes()] == ["other"]


NESTED = ('{"shed":' * 100 + "1" + "}" * 100, "[" * 100_000)
HALF_A_CHARACTER = '{"shed": {"timezone": "\\ud800"}}'


@pytest.mark.parametrize("text", ["", "{", "[]", "null", '"shed"', HALF_A_CHARACTER, *NESTED])
def test_a_damaged_document_is_told_with_its_revision(records: Records, text: str) -> None:
    records.kept.put(DOCUMENT, based_on=0, change=change())
    damage(records, text)
    with pytest.raises(UnreadableSettingsError, match="can't be read") as told:
        records.kept.read()
    assert told.value.revision == 1


def test_a_number_that_json_has_not_is_never_kept(records: Records) -> None:
    with pytest.raises(ValueError, match="JSON"):
        records.kept.put({"shed": {"latitude": float("nan")}}, based_on=0, change=change())
    assert records.kept.revision() == 0


def test_the_record_of_changes_tells_the_newest_first_and_as_many_as_asked(
    records: Records,
) -> None:
    told = [change(f"line {n}", hours=n) for n in range(5)]
    for line in told:
        records.changes.note(line)
    assert records.changes.changes(limit=3) == told[:1:-1]
