"""Seasons, their clean-down and boxes that are off, in a real file."""

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from service.errors import InputError, NotKnownError
from service.nests.clean_down import clean_down_of
from service.nests.nest import Sex
from service.store.sql_records import Records, open_records
from tests.service.book.sound_books import PLACES

AT = datetime(2026, 9, 1, 8, tzinfo=UTC)
SPRING, AUTUMN = date(2026, 2, 1), date(2026, 9, 1)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    opened.nest_book.put_places(PLACES)
    yield opened
    opened.close()


def closed(records: Records) -> int:
    season = records.seasons.open("2026", SPRING)
    tasks = list(clean_down_of(PLACES))
    records.seasons.close(season.id, on=AUTUMN, by="Ann", tasks=tasks)
    return season.id


def test_a_season_is_opened_and_closed(records: Records) -> None:
    closed(records)
    (found,) = records.seasons.seasons()
    assert (found.name, found.began_on, found.closed_on) == ("2026", SPRING, AUTUMN)
    assert found.closed_by == "Ann"


def test_a_closed_season_can_go_on(records: Records) -> None:
    season = closed(records)
    records.seasons.reopen(season)
    (found,) = records.seasons.seasons()
    assert (found.closed_on, found.closed_by) == (None, None)


def test_what_was_cleaned_stays_noted_when_a_season_goes_on_and_closes_again(
    records: Records,
) -> None:
    season = closed(records)
    first = records.seasons.clean_down(season)
    records.seasons.set_done([first[0].id], done=True, by="Ann", at=AT)
    records.seasons.reopen(season)
    records.seasons.close(season, on=AUTUMN, by="Ann", tasks=list(clean_down_of(PLACES)))
    again = records.seasons.clean_down(season)
    assert len(again) == len(first)
    assert (again[0].done_at, again[0].done_by) == (AT, "Ann")


def test_a_task_can_be_undone(records: Records) -> None:
    season = closed(records)
    task = records.seasons.clean_down(season)[0].id
    records.seasons.set_done([task], done=True, by="Ann", at=AT)
    records.seasons.set_done([task], done=False, by="Ben", at=AT)
    assert records.seasons.clean_down(season)[0].done_at is None


def test_a_task_keeps_who_did_it_first(records: Records) -> None:
    season = closed(records)
    task = records.seasons.clean_down(season)[0].id
    records.seasons.set_done([task], done=True, by="Ann", at=AT)
    records.seasons.set_done([task], done=True, by="Ben", at=AT)
    assert records.seasons.clean_down(season)[0].done_by == "Ann"


def test_a_season_opened_by_mistake_is_taken_back(records: Records) -> None:
    season = records.seasons.open("2026", SPRING)
    records.seasons.take_back(season.id)
    assert records.seasons.seasons() == []


def test_a_season_in_which_a_pair_was_put_up_is_not_taken_back(records: Records) -> None:
    season = records.seasons.open("2026", SPRING)
    cock = records.nest_book.add_bird(sex=Sex.COCK)
    hen = records.nest_book.add_bird(sex=Sex.HEN)
    records.nest_book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=SPRING)
    with pytest.raises(InputError, match="A pair was put up in 2026"):
        records.seasons.take_back(season.id)


@pytest.mark.parametrize(
    ("name", "on", "why"),
    [
        ("", AUTUMN, "needs a name"),
        ("2026", date(2027, 1, 1), "there already"),
        ("2027", date(2026, 8, 31), "2026 was closed on 2026-09-01"),
    ],
)
def test_a_season_that_cannot_be_is_refused(
    records: Records, name: str, on: date, why: str
) -> None:
    closed(records)
    with pytest.raises(InputError, match=why):
        records.seasons.open(name, on)
    assert len(records.seasons.seasons()) == 1


def test_only_one_season_goes_on(records: Records) -> None:
    records.seasons.open("2026", SPRING)
    with pytest.raises(InputError, match="2026 goes on; close it"):
        records.seasons.open("2027", AUTUMN)


def test_a_season_before_another_stays_closed(records: Records) -> None:
    first = closed(records)
    records.seasons.open("2027", date(2027, 1, 1))
    with pytest.raises(InputError, match="Another season has begun"):
        records.seasons.reopen(first)


def test_a_season_does_not_close_before_it_began(records: Records) -> None:
    season = records.seasons.open("2026", SPRING)
    with pytest.raises(InputError, match="began on 2026-02-01"):
        records.seasons.close(season.id, on=date(2026, 1, 31), by=None, tasks=[])


def test_boxes_come_off_and_on_again(records: Records) -> None:
    records.seasons.set_off(["box-1", "box-2"], off=True, by="Ann", at=AT)
    records.seasons.set_off(["box-1"], off=False, by="Ann", at=AT)
    assert [(off.box, off.since, off.by) for off in records.seasons.boxes_off()] == [
        ("box-2", AT, "Ann")
    ]


def test_a_box_nobody_knows_is_refused(records: Records) -> None:
    with pytest.raises(NotKnownError, match="cage-1"):
        records.seasons.set_off(["cage-1"], off=True, by=None, at=AT)
    assert records.seasons.boxes_off() == []


def test_every_box_cage_flight_and_the_shed_have_something_to_clean() -> None:
    told = {place for place, _ in clean_down_of(PLACES)}
    assert told == {place.id for place in PLACES}
