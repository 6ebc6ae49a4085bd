"""Requests from pages to watch on a real SQLite file."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service.errors import NotKnownError
from service.store.alarm_store import Request, RequestKind
from service.store.sql_records import Records, open_records

NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    yield opened
    opened.close()


def test_request_waits_until_it_is_settled(records: Records) -> None:
    requests = records.requests
    first = requests.ask(RequestKind.ACKNOWLEDGE, "a1", by="Ida", at=NOON)
    second = requests.ask(RequestKind.ACKNOWLEDGE, "a2", by=None, at=NOON)
    assert [request.id for request in requests.pending()] == [first, second]
    requests.settle(first, at=NOON, outcome="acknowledged")
    assert list(requests.pending()) == [
        Request(id=second, kind=RequestKind.ACKNOWLEDGE, subject="a2", by=None, at=NOON)
    ]


def test_request_of_another_process_is_seen(tmp_path: Path, records: Records) -> None:
    pages = open_records("sqlite:///records.db", tmp_path)
    asked = pages.requests.ask(RequestKind.ACKNOWLEDGE, "a1", by=None, at=NOON)
    pages.close()
    assert [request.id for request in records.requests.pending()] == [asked]


def test_settling_twice_keeps_what_came_of_it_first(records: Records) -> None:
    asked = records.requests.ask(RequestKind.ACKNOWLEDGE, "a1", by=None, at=NOON)
    records.requests.settle(asked, at=NOON, outcome="acknowledged")
    records.requests.settle(asked, at=NOON + timedelta(hours=1), outcome="not known")
    outcome = records.transactions.read(
        lambda found: found.exec_driver_sql("SELECT outcome FROM requests").scalar()
    )
    assert outcome == "acknowledged"


def test_settling_what_nobody_asked_is_not_known(records: Records) -> None:
    with pytest.raises(NotKnownError, match="no request 12"):
        records.requests.settle(12, at=NOON, outcome="done")


def test_what_came_of_a_request_is_told_once_it_is_settled(records: Records) -> None:
    asked = records.requests.ask(RequestKind.RETRY_LETTERS, "gateway/a1", by=None, at=NOON)
    assert records.requests.outcome(asked) is None
    records.requests.settle(asked, at=NOON, outcome="3 letters were read")
    assert records.requests.outcome(asked) == "3 letters were read"
    with pytest.raises(NotKnownError, match="no request 99"):
        records.requests.outcome(99)
