"""Duties and what was done of them in a real SQLite file."""

import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from service.errors import NotKnownError
from service.nests.duty import (
    ByStage,
    Duty,
    DutyDone,
    DutySlot,
    DutyTerms,
    DutyWhere,
    RotaStep,
    Visit,
    VisitTimes,
    WhereKind,
)
from service.nests.duty_templates import TEMPLATES, terms_of
from service.nests.stage import Stage
from service.store.nest_book import ChangedMeanwhileError
from service.store.sql_records import Records, open_records
from tests.service.nests.duties_at_hand import terms

NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
MONDAY = date(2026, 3, 2)
HOUR = timedelta(hours=1)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    yield opened
    opened.close()


def add(records: Records, *told: DutyTerms) -> list[Duty]:
    records.duties.add(told or [terms()], by="Ann", form_id=uuid4())
    return list(records.duties.duties())


def slot_of(duty: Duty, place: str = "cage-1", day: date = MONDAY) -> DutySlot:
    return DutySlot(duty_id=duty.id, place=place, day=day, visit=Visit.MORNING)


def mark(
    records: Records,
    slot: DutySlot,
    *,
    by: str = "Ann",
    at: datetime = NOON,
    form: UUID | None = None,
) -> DutyDone:
    told = {slot: "Water: plain"}
    return records.duties.mark_done(told, at=at, by=by, form_id=form or uuid4())[0]


def test_every_kind_of_duty_comes_back_as_it_was_told(records: Records) -> None:
    told = [terms_of(one, now=NOON, today=MONDAY) for one in TEMPLATES]
    named = replace(
        told[0],
        where=DutyWhere(kind=WhereKind.NAMED, places=("cage-2", "flight é")),
        schedule=ByStage(stages=frozenset(Stage), every=3),
        rota=(RotaStep(words='ä; "b"', days=1),),
        rota_first=MONDAY,
        off=True,
    )
    assert [duty.terms for duty in add(records, *told, named)] == [*told, named]


def test_a_form_that_is_sent_twice_adds_its_duties_once(records: Records) -> None:
    form = uuid4()
    first = records.duties.add([terms(), terms("Water")], by="Ann", form_id=form)
    again = records.duties.add([terms(), terms("Water")], by="Ann", form_id=form)
    assert again == first
    assert [duty.name for duty in records.duties.duties()] == ["Seed", "Water"]


def test_an_edit_keeps_what_stood_before_it(records: Records) -> None:
    [duty] = add(records)
    after = terms("Seed, twice", since=NOON)
    records.duties.edit(duty.id, after, by="Ann", based_on=duty.revision)
    found = records.duties.duty(duty.id)
    assert (found.terms, found.earlier) == (after, (duty.terms,))


def test_an_edit_of_a_duty_changes_nothing_of_what_was_done(records: Records) -> None:
    [duty] = add(records)
    told = mark(records, slot_of(duty))
    records.duties.edit(duty.id, terms("Other", since=NOON, off=True), by="Bob", based_on=0)
    records.duties.take_away(duty.id, at=NOON + HOUR, by="Bob")
    assert records.duties.duties() == []
    assert records.duties.done(MONDAY) == [told]
    assert told.words == "Water: plain"


def test_of_two_who_edit_at_once_the_second_is_told(records: Records) -> None:
    [duty] = add(records)
    records.duties.edit(duty.id, terms("One", since=NOON), by="Ann", based_on=duty.revision)
    with pytest.raises(ChangedMeanwhileError):
        records.duties.edit(duty.id, terms("Two", since=NOON), by="Bob", based_on=duty.revision)
    assert records.duties.duty(duty.id).name == "One"


def test_a_slot_is_done_once_and_the_second_tap_sees_the_first(records: Records) -> None:
    [duty] = add(records)
    first = mark(records, slot_of(duty))
    second = mark(records, slot_of(duty), by="Bob", at=NOON + HOUR)
    assert second == first
    assert (second.by, second.at) == ("Ann", NOON)


def test_two_phones_that_tap_at_the_same_moment_are_one(tmp_path: Path) -> None:
    first = open_records("sqlite:///records.db", tmp_path)
    second = open_records("sqlite:///records.db", tmp_path)
    [duty] = add(first)
    slots = {slot_of(duty, f"cage-{n}"): "Seed" for n in range(5)}
    start, answers = threading.Barrier(4), []

    def tap(records: Records, who: str) -> None:
        start.wait()
        answers.append(records.duties.mark_done(slots, at=NOON, by=who, form_id=uuid4()))

    phones = [
        threading.Thread(target=tap, args=(records, f"{n}"))
        for n, records in enumerate((first, second, first, second))
    ]
    for phone in phones:
        phone.start()
    for phone in phones:
        phone.join()
    told = first.duties.done(MONDAY)
    first.close()
    second.close()
    assert sorted(one.slot.place for one in told) == [f"cage-{n}" for n in range(5)]
    assert [list(answer) for answer in answers] == [list(told)] * 4


def test_what_was_undone_stays_in_the_book_and_may_be_done_again(records: Records) -> None:
    [duty] = add(records)
    first = mark(records, slot_of(duty))
    records.duties.undo([first.id], at=NOON + HOUR, by="Bob")
    records.duties.undo([first.id], at=NOON + 2 * HOUR, by="Cyd")
    again = mark(records, slot_of(duty), at=NOON + 3 * HOUR)
    told = records.duties.done(MONDAY)
    assert [(one.id, one.stands, one.undone_by) for one in told] == [
        (first.id, False, "Bob"),
        (again.id, True, None),
    ]


def test_a_form_that_comes_late_does_not_do_again_what_was_undone(records: Records) -> None:
    [duty] = add(records)
    form = uuid4()
    first = mark(records, slot_of(duty), form=form)
    records.duties.undo([first.id], at=NOON + HOUR, by="Ann")
    late = mark(records, slot_of(duty), form=form)
    assert (late.id, late.stands) == (first.id, False)
    assert len(records.duties.done(MONDAY)) == 1


def test_the_last_done_of_each_duty_and_place_is_the_latest_that_stands(records: Records) -> None:
    [duty] = add(records)
    for n in range(3):
        mark(records, slot_of(duty, day=MONDAY + timedelta(days=n)))
    last = mark(records, slot_of(duty, day=MONDAY + timedelta(days=3)))
    records.duties.undo([last.id], at=NOON, by=None)
    evening = replace(slot_of(duty, day=MONDAY + timedelta(days=2)), visit=Visit.EVENING)
    mark(records, evening)
    other = mark(records, slot_of(duty, "cage-2"))
    found = {one.slot.place: one.slot for one in records.duties.last_done()}
    assert found == {"cage-1": evening, "cage-2": other.slot}


def test_done_is_told_by_its_day_and_by_its_instant(records: Records) -> None:
    [duty] = add(records)
    late = mark(records, slot_of(duty), at=NOON + timedelta(days=9))
    assert records.duties.done(MONDAY, MONDAY + timedelta(days=1)) == [late]
    assert records.duties.done(MONDAY + timedelta(days=1)) == []
    assert records.duties.told(NOON + timedelta(days=8), NOON + timedelta(days=10)) == [late]
    assert records.duties.told(NOON, NOON + timedelta(days=9)) == []


@pytest.mark.parametrize("what", ["duty", "take_away", "mark", "undo", "edit"])
def test_what_never_was_is_refused(records: Records, what: str) -> None:
    store = records.duties
    nowhere = DutySlot(duty_id=9, place="cage-1", day=MONDAY, visit=Visit.MORNING)
    asked: dict[str, Callable[[], object]] = {
        "duty": lambda: store.duty(9),
        "take_away": lambda: store.take_away(9, at=NOON, by=None),
        "mark": lambda: mark(records, nowhere),
        "undo": lambda: store.undo([9], at=NOON, by=None),
        "edit": lambda: store.edit(9, terms(), by=None, based_on=0),
    }
    with pytest.raises(NotKnownError):
        asked[what]()


def test_visit_times_come_back_with_a_midday_and_without(records: Records) -> None:
    assert records.duties.visit_times() == VisitTimes()
    three = VisitTimes(morning=time(5, 30), midday=time(11), evening=time(16, 45))
    records.duties.put_visit_times(three)
    assert records.duties.visit_times() == three
    two = replace(three, midday=None)
    records.duties.put_visit_times(two)
    assert records.duties.visit_times() == two
