"""How long visits took, in a real file."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest
from sqlalchemy import insert

from service.errors import InputError, NotKnownError
from service.nests.duty import Visit
from service.nests.nest import NestCheck
from service.nests.place import Place, PlaceKind
from service.nests.workload.timed_visit import TimedVisit
from service.store.sql_check_rows import check_row
from service.store.sql_records import Records, open_records
from service.store.sql_tables import CHECKS

DAY = date(2026, 3, 2)
AT = datetime(2026, 3, 2, 7, tzinfo=UTC)
FORM = UUID("7f0c3b52-0f0c-4a53-9d8f-1a9b4f1f2c11")


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    yield opened
    opened.close()


def begun(records: Records, *, minutes: float = 0, form_id: UUID | None = None) -> TimedVisit:
    return records.visit_times.begin(
        DAY,
        Visit.MORNING,
        at=AT + timedelta(minutes=minutes),
        by="Mara",
        form_id=form_id or uuid4(),
    )


def test_visit_that_was_begun_and_ended_tells_its_minutes(records: Records) -> None:
    visit = begun(records)
    records.visit_times.end(visit.id, at=AT + timedelta(minutes=34), by="Jo")
    (found,) = records.visit_times.visits(DAY)
    assert (found.minutes, found.began_by, found.ended_by) == (34, "Mara", "Jo")


def test_form_that_is_sent_twice_begins_once(records: Records) -> None:
    first = begun(records, form_id=FORM)
    records.visit_times.end(first.id, at=AT + timedelta(minutes=5), by=None)
    again = begun(records, minutes=6, form_id=FORM)
    assert again.id == first.id
    assert len(records.visit_times.visits(DAY)) == 1


def test_second_phone_is_told_of_the_visit_that_goes_on(records: Records) -> None:
    first = begun(records)
    second = begun(records, minutes=3)
    assert second == first
    assert records.visit_times.going_on(AT + timedelta(minutes=3)) == first


def test_visit_that_was_forgotten_does_not_keep_the_next_from_beginning(records: Records) -> None:
    begun(records)
    later = begun(records, minutes=600)
    assert len(records.visit_times.visits(DAY)) == 2
    assert records.visit_times.going_on(AT + timedelta(minutes=601)) == later


def test_visit_that_is_ended_twice_stays_as_it_was_ended_first(records: Records) -> None:
    visit = begun(records)
    records.visit_times.end(visit.id, at=AT + timedelta(minutes=20), by="Mara")
    records.visit_times.end(visit.id, at=AT + timedelta(minutes=50), by="Jo")
    (found,) = records.visit_times.visits(DAY)
    assert (found.minutes, found.ended_by) == (20, "Mara")


def test_visit_can_not_end_before_it_began(records: Records) -> None:
    visit = begun(records)
    with pytest.raises(InputError, match="can't end before"):
        records.visit_times.end(visit.id, at=AT - timedelta(minutes=1), by=None)
    assert records.visit_times.going_on(AT) is not None


def test_visit_that_nobody_began_is_not_known(records: Records) -> None:
    with pytest.raises(NotKnownError, match="no timed visit 9"):
        records.visit_times.end(9, at=AT, by=None)


def test_visits_are_told_within_their_days(records: Records) -> None:
    visit = begun(records)
    assert records.visit_times.visits(DAY, DAY + timedelta(days=1)) == [visit]
    assert records.visit_times.visits(DAY + timedelta(days=1)) == []
    assert records.visit_times.visits(DAY - timedelta(days=3), DAY) == []


def test_looks_are_told_from_a_moment_on(records: Records) -> None:
    box = Place(id="box-1", kind=PlaceKind.BOX, name="Box 1")
    records.nest_book.put_places([box])
    days = [AT + timedelta(days=number) for number in range(3)]
    looks = [NestCheck(form_id=uuid4(), box=box.id, at=at, eggs=0, chicks=0) for at in days]
    rows = [check_row(look, ()) for look in looks]
    records.transactions.write(lambda found: found.execute(insert(CHECKS), rows))
    told = records.visit_times.looks(AT + timedelta(days=1))
    assert [look.at for look in told] == [AT + timedelta(days=1), AT + timedelta(days=2)]
