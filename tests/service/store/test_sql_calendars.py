"""Secret addresses of calendars, and what was last told of each event."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from service.errors import NotKnownError
from service.store.calendar_store import CalendarDays, CalendarStore, Revision
from service.store.sql_records import open_records

AT = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)
LATER = AT + timedelta(hours=1)
HATCH = CalendarDays(first=date(2026, 4, 25), last=date(2026, 4, 28), told="egg 3, hatch")
MOVED = CalendarDays(first=date(2026, 4, 27), last=date(2026, 4, 30), told="egg 3, hatch")
REWORDED = CalendarDays(first=date(2026, 4, 25), last=date(2026, 4, 28), told="egg 3 hatches")


@pytest.fixture
def calendars(tmp_path: Path) -> Iterator[CalendarStore]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield records.calendars
    records.close()


def test_a_token_is_found_by_its_digest_alone(calendars: CalendarStore) -> None:
    made = calendars.add("phone", "a" * 64, by="Mara", at=AT)
    assert calendars.found("a" * 64) == made
    assert calendars.found("b" * 64) is None


def test_a_token_taken_back_is_found_no_more_and_stays_listed(calendars: CalendarStore) -> None:
    made = calendars.add("phone", "a" * 64, by="Mara", at=AT)
    calendars.revoke(made.id, LATER)
    calendars.revoke(made.id, LATER + timedelta(days=1))
    assert calendars.found("a" * 64) is None
    assert [one.revoked_at for one in calendars.all()] == [LATER]


def test_a_token_that_is_not_there_cannot_be_taken_back(calendars: CalendarStore) -> None:
    with pytest.raises(NotKnownError, match="no calendar 7"):
        calendars.revoke(7, AT)


def test_when_a_calendar_was_read_is_kept(calendars: CalendarStore) -> None:
    made = calendars.add("phone", "a" * 64, by=None, at=AT)
    calendars.seen(made.id, LATER)
    assert calendars.all()[0].seen_at == LATER


def test_an_event_that_stays_keeps_its_revision(calendars: CalendarStore) -> None:
    token = calendars.add("phone", "a" * 64, by=None, at=AT).id
    first = calendars.revised(token, {"u": HATCH}, AT)
    assert first == {"u": Revision(sequence=0, modified_at=AT)}
    assert calendars.revised(token, {"u": HATCH}, LATER) == first


def test_other_days_count_up_and_other_words_do_not(calendars: CalendarStore) -> None:
    token = calendars.add("phone", "a" * 64, by=None, at=AT).id
    calendars.revised(token, {"u": HATCH}, AT)
    assert calendars.revised(token, {"u": REWORDED}, LATER)["u"] == Revision(
        sequence=0, modified_at=LATER
    )
    assert calendars.revised(token, {"u": MOVED}, LATER)["u"].sequence == 1
    assert calendars.revised(token, {"u": HATCH}, LATER)["u"].sequence == 2


def test_an_event_that_was_away_comes_back_with_its_count(calendars: CalendarStore) -> None:
    token = calendars.add("phone", "a" * 64, by=None, at=AT).id
    calendars.revised(token, {"u": HATCH}, AT)
    calendars.revised(token, {"u": MOVED}, AT)
    assert calendars.revised(token, {}, LATER) == {}
    assert calendars.revised(token, {"u": MOVED}, LATER)["u"] == Revision(
        sequence=1, modified_at=AT
    )


def test_each_calendar_counts_for_itself(calendars: CalendarStore) -> None:
    one = calendars.add("phone", "a" * 64, by=None, at=AT).id
    other = calendars.add("desk", "b" * 64, by=None, at=AT).id
    calendars.revised(one, {"u": HATCH}, AT)
    calendars.revised(one, {"u": MOVED}, AT)
    assert calendars.revised(other, {"u": MOVED}, LATER)["u"] == Revision(
        sequence=0, modified_at=LATER
    )
