"""Alarms over their whole life: shelved, hidden, latched, put back, and never lost."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.alarm_path import AlarmPath, Raised
from service.alarm_requests import carry_out
from service.alarms.alarm import Alarm, AlarmState
from service.alarms.journal import Happened, JournalLine
from service.alarms.shelf_wish import ShelfWish
from service.alarms.suppression import LONGEST_SHELF, Suppression, SuppressionKind
from service.errors import InputError, NotKnownError
from service.rules.limit import Priority
from service.store.alarm_store import AlarmStore, Request, RequestKind
from service.store.sql_records import open_records

T = datetime(2026, 3, 1, 22, 50, tzinfo=UTC)
MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
AROUND: dict[str, str | None] = {"box-1": "cage-1", "cage-1": "shed", "shed": None}
PRIORITIES = {"cold": Priority.HIGH, "cold-box": Priority.HIGH, "damp": Priority.MEDIUM}
CLEANING = ShelfWish(reason="cleaning out", for_s=3600.0)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[AlarmStore]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield records.alarms
    records.close()


@pytest.fixture
def alarms(store: AlarmStore) -> AlarmPath:
    return AlarmPath(store, around=AROUND, priorities=PRIORITIES)


def found(
    rule: str = "cold",
    *,
    place: str = "shed",
    at: datetime = T,
    latching: bool = False,
    re_alarm_after: timedelta | None = None,
) -> Raised:
    return Raised(
        rule=rule,
        place=place,
        priority=PRIORITIES.get(rule, Priority.MEDIUM),
        at=at,
        value=4.2,
        setpoint=5.0,
        text=f"{rule} at {place}.",
        kind="temperature low",
        latching=latching,
        re_alarm_after=re_alarm_after,
    )


def of(alarms: AlarmPath, rule: str = "cold") -> Alarm:
    alarm = alarms.of(rule)
    assert alarm is not None
    return alarm


def test_a_shelved_alarm_is_silent_and_active_all_the_same(alarms: AlarmPath) -> None:
    alarms.raise_(found())
    alarms.shelve("cold", CLEANING, by="Ada", at=T + MINUTE)
    assert (of(alarms).told_state, of(alarms).state.active) == ("shelved", True)
    assert of(alarms).suppressed_why == "cleaning out (Ada)"


def test_an_alarm_that_is_active_when_its_shelf_ends_speaks_anew(alarms: AlarmPath) -> None:
    alarms.raise_(found())
    alarms.acknowledge(of(alarms).id, by="Ada", at=T)
    alarms.shelve("cold", CLEANING, by="Ada", at=T)
    assert alarms.next_deadline() == T + HOUR
    alarms.tick(T + HOUR)
    assert (of(alarms).told_state, of(alarms).acknowledged_at) == ("unacknowledged", None)


def test_what_comes_and_goes_on_the_shelf_needs_nobody(
    alarms: AlarmPath, store: AlarmStore
) -> None:
    alarms.shelve("cold", CLEANING, by="Ada", at=T)
    alarms.raise_(found(at=T + MINUTE))
    alarms.clear("cold", T + 2 * MINUTE)
    alarms.save()
    assert alarms.open_alarms() == ()
    (kept,) = store.alarms(None, None)
    assert (kept.state, kept.told_at) == (AlarmState.NORMAL, None)


def test_a_one_shot_shelf_ends_with_the_condition(alarms: AlarmPath) -> None:
    alarms.raise_(found())
    alarms.shelve("cold", ShelfWish(reason="door open", one_shot=True), by=None, at=T)
    alarms.clear("cold", T + MINUTE)
    assert alarms.suppressions() == ()
    alarms.raise_(found(at=T + 2 * MINUTE))
    assert of(alarms).told


@pytest.mark.parametrize("priority", Priority)
def test_no_shelf_is_longer_than_its_priority_may_have(
    alarms: AlarmPath, priority: Priority
) -> None:
    rule = {Priority.HIGH: "cold", Priority.MEDIUM: "damp", Priority.LOW: "clock:th-1"}[priority]
    longest = LONGEST_SHELF[priority].total_seconds()
    with pytest.raises(InputError, match="at most"):
        alarms.shelve(rule, ShelfWish(reason="x", for_s=longest + 60.0), by=None, at=T)
    shelf = alarms.shelve(rule, ShelfWish(reason="x", for_s=longest), by=None, at=T)
    assert shelf.until == T + LONGEST_SHELF[priority]


def test_out_of_service_lasts_until_it_is_put_back(alarms: AlarmPath) -> None:
    alarms.raise_(found())
    alarms.take_out_of_service("cold", ShelfWish(reason="new sensor"), by="Ada", at=T)
    alarms.tick(T + timedelta(days=300))
    assert of(alarms).told_state == "out of service"
    alarms.put_back("cold", by="Ada", at=T + timedelta(days=301))
    assert of(alarms).told_state == "unacknowledged"


def test_shelves_outlive_a_restart(alarms: AlarmPath, store: AlarmStore) -> None:
    alarms.raise_(found())
    alarms.shelve("cold", CLEANING, by="Ada", at=T)
    alarms.save()
    again = AlarmPath(store, around=AROUND, priorities=PRIORITIES)
    assert of(again).told_state == "shelved"
    again.tick(T + HOUR)
    again.save()
    assert of(again).told
    assert store.suppressions() == []


def test_a_cold_shed_hides_its_cold_boxes_until_it_is_warm(alarms: AlarmPath) -> None:
    alarms.raise_(found("cold-box", place="box-1"))
    assert of(alarms, "cold-box").told
    alarms.raise_(found())
    assert of(alarms, "cold-box").told_state == "suppressed by design"
    alarms.clear("cold", T + HOUR)
    assert of(alarms, "cold-box").told_state == "unacknowledged"


def test_a_shed_that_is_out_of_service_hides_no_box(alarms: AlarmPath) -> None:
    alarms.raise_(found())
    alarms.take_out_of_service("cold", ShelfWish(reason="new sensor"), by=None, at=T)
    alarms.raise_(found("cold-box", place="box-1"))
    assert of(alarms, "cold-box").told


def test_a_rule_that_sleeps_is_silent_and_speaks_when_it_wakes(alarms: AlarmPath) -> None:
    alarms.put_to_sleep("damp", T, why="the birds rest")
    alarms.raise_(found("damp"))
    assert of(alarms, "damp").suppressed_why == "the birds rest"
    alarms.wake("damp", T + HOUR)
    assert of(alarms, "damp").told_at == T + HOUR


def test_a_latching_alarm_stays_until_it_is_reset(alarms: AlarmPath) -> None:
    alarms.raise_(found(latching=True))
    alarms.clear("cold", T + MINUTE)
    assert of(alarms).state is AlarmState.LATCHED_UNACKNOWLEDGED
    alarms.acknowledge(of(alarms).id, by=None, at=T + MINUTE)
    alarms.reset(of(alarms).id, by=None, at=T + MINUTE)
    assert alarms.of("cold") is None


def test_an_alarm_seen_long_ago_is_to_be_seen_again(alarms: AlarmPath) -> None:
    alarms.raise_(found(re_alarm_after=6 * HOUR))
    alarms.acknowledge(of(alarms).id, by="Ada", at=T + HOUR)
    alarms.tick(T + 7 * HOUR - MINUTE)
    assert of(alarms).state is AlarmState.ACKNOWLEDGED
    alarms.tick(T + 7 * HOUR)
    assert of(alarms).state is AlarmState.UNACKNOWLEDGED


def test_the_journal_tells_what_happened_and_who_did_it(
    alarms: AlarmPath, store: AlarmStore
) -> None:
    alarms.raise_(found())
    alarms.shelve("cold", CLEANING, by="Ada", at=T + MINUTE)
    alarms.put_back("cold", by="Bo", at=T + 2 * MINUTE)
    alarms.save()
    lines: Sequence[JournalLine] = store.journal(None, None)
    assert [(one.happened, one.by) for one in reversed(lines)] == [
        (Happened.RAISED, None),
        (Happened.SHELVED, "Ada"),
        (Happened.UNSHELVED, "Bo"),
    ]


@pytest.mark.parametrize(
    ("kind", "subject", "body", "words"),
    [
        (RequestKind.SHELVE, "nothing-such", CLEANING.to_text(), "no rule nothing-such"),
        (RequestKind.SHELVE, "cold", ShelfWish(reason=" ").to_text(), "was not told"),
        (RequestKind.SHELVE, "cold", ShelfWish(reason=" ", for_s=60).to_text(), "why"),
        (RequestKind.SHELVE, "cold", '{"reason": 3}', "reason"),
        (RequestKind.SHELVE, "cold", None, "can't be read"),
        (RequestKind.UNSHELVE, "cold", None, "neither shelved"),
        (RequestKind.RESET, "nobody", None, "no open alarm"),
    ],
)
def test_a_request_that_can_not_be_is_refused_in_words(
    alarms: AlarmPath, kind: RequestKind, subject: str, body: str | None, words: str
) -> None:
    request = Request(id=1, kind=kind, subject=subject, by=None, at=T, body=body)
    assert words in carry_out(alarms, request, T)
    assert alarms.suppressions() == ()


class Memory:
    """An alarm store that forgets nothing and keeps nothing on disk."""

    def __init__(self) -> None:
        self.kept: dict[str, Alarm] = {}
        self.wishes: dict[str, Suppression] = {}

    def open_alarms(self) -> Sequence[Alarm]:
        return [one for one in self.kept.values() if one.state is not AlarmState.NORMAL]

    def alarms(self, since: datetime | None, until: datetime | None) -> Sequence[Alarm]:  # noqa: ARG002
        return list(self.kept.values())

    def put(
        self,
        alarms: Sequence[Alarm],
        *,
        lines: Sequence[JournalLine] = (),  # noqa: ARG002
        suppressions: Sequence[Suppression] = (),
        lifted: Sequence[str] = (),
    ) -> None:
        self.kept |= {one.id: one for one in alarms}
        for rule in lifted:
            self.wishes.pop(rule, None)
        self.wishes |= {one.rule: one for one in suppressions}

    def suppressions(self) -> Sequence[Suppression]:
        return list(self.wishes.values())

    def journal(self, since: datetime | None, until: datetime | None) -> Sequence[JournalLine]:  # noqa: ARG002
        return ()


RULES = {"cold": "shed", "cold-box": "box-1", "damp": "shed"}
DEEDS: dict[str, Callable[[AlarmPath, str, datetime], object]] = {
    "clear": lambda path, rule, at: path.clear(rule, at),
    "see": lambda path, rule, at: path.acknowledge(getattr(path.of(rule), "id", ""), by="", at=at),
    "shelve": lambda path, rule, at: path.shelve(rule, CLEANING, by="Ada", at=at),
    "one-shot": lambda path, rule, at: path.shelve(
        rule, ShelfWish(reason="x", one_shot=True), by="Ada", at=at
    ),
    "out": lambda path, rule, at: path.take_out_of_service(
        rule, ShelfWish(reason="x"), by="Ada", at=at
    ),
    "back": lambda path, rule, at: path.put_back(rule, by="Ada", at=at),
    "sleep": lambda path, rule, at: path.put_to_sleep(rule, at, why="the birds rest"),
    "wake": lambda path, rule, at: path.wake(rule, at),
    "tick": lambda path, _, at: path.tick(at),
}


@settings(max_examples=150, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(("raise", "restart", *DEEDS)), st.sampled_from(list(RULES))),
        max_size=30,
    )
)
def test_no_path_loses_a_danger_and_whatever_is_silent_has_a_reason(
    deeds: list[tuple[str, str]],
) -> None:
    store = Memory()
    path = AlarmPath(store, around=AROUND, priorities=PRIORITIES)
    danger: set[str] = set()
    asleep: set[str] = set()
    at = T
    for deed, rule in deeds:
        at += 10 * MINUTE
        path.tick(at)
        if deed == "raise":
            path.raise_(found(rule, place=RULES[rule], at=at))
            danger.add(rule)
        elif deed == "restart":
            path.save()
            path = AlarmPath(store, around=AROUND, priorities=PRIORITIES)
            with path.at_once(at):
                for one in asleep:
                    path.put_to_sleep(one, at, why="the birds rest")
        else:
            try:
                DEEDS[deed](path, rule, at)
            except (NotKnownError, InputError):
                continue
        danger -= {rule} if deed == "clear" else set()
        asleep |= {rule} if deed == "sleep" else set()
        asleep -= {rule} if deed == "wake" else set()
        assert {one.rule for one in path.open_alarms() if one.state.active} == danger
        _silent_ones_have_a_reason(path, asleep)


def _silent_ones_have_a_reason(path: AlarmPath, asleep: set[str]) -> None:
    wished = {one.rule: one.kind for one in path.suppressions()}
    for alarm in path.open_alarms():
        assert alarm.told or alarm.suppressed_why
        if alarm.rule in wished:
            assert alarm.suppressed is wished[alarm.rule]
        elif alarm.suppressed is not None:
            assert alarm.suppressed is SuppressionKind.BY_DESIGN
            cold = path.of("cold")
            by_cause = (
                alarm.rule == "cold-box"
                and cold is not None
                and cold.state.active
                and cold.suppressed is not SuppressionKind.OUT_OF_SERVICE
                and "cold" not in asleep
            )
            assert alarm.rule in asleep or by_cause
        if alarm.told:
            assert alarm.told_at is not None


def test_an_alarm_whose_limit_weighs_more_by_now_is_seen_again_as_such(
    alarms: AlarmPath, store: AlarmStore
) -> None:
    alarms.raise_(replace(found(), priority=Priority.MEDIUM))
    alarms.acknowledge(of(alarms).id, by="Ada", at=T)
    alarms.raise_(replace(found(), learned_at=T + HOUR))
    told = of(alarms)
    assert (told.priority, told.state) == (Priority.HIGH, AlarmState.UNACKNOWLEDGED)
    alarms.save()
    (line,) = (one for one in store.journal(T, T + 2 * HOUR) if one.happened is Happened.RE_ALARMED)
    assert line.at == T + HOUR


def test_an_alarm_tells_of_its_limit_as_it_was_moved(alarms: AlarmPath) -> None:
    alarms.raise_(found())
    alarms.acknowledge(of(alarms).id, by="Ada", at=T)
    alarms.raise_(replace(found(), setpoint=6.0, text="Shed 4.2°, under 6° since 22:50."))
    told = of(alarms)
    assert (told.setpoint, told.text[:18]) == (6.0, "Shed 4.2°, under 6")
    assert told.state is AlarmState.ACKNOWLEDGED


def test_a_shelf_that_was_begun_by_a_clock_far_ahead_lasts_no_longer_for_it(
    alarms: AlarmPath, store: AlarmStore
) -> None:
    alarms.raise_(found())
    alarms.shelve("cold", CLEANING, by="Ada", at=T + timedelta(days=400))
    alarms.restore(T + MINUTE)
    assert of(alarms).suppressed_until == T + MINUTE + HOUR
    alarms.save()
    assert [one.until for one in store.suppressions()] == [T + MINUTE + HOUR]


def test_a_danger_that_was_acknowledged_by_a_clock_far_ahead_is_seen_again(
    alarms: AlarmPath,
) -> None:
    alarms.raise_(found(re_alarm_after=6 * HOUR))
    alarms.acknowledge(of(alarms).id, by="Ada", at=T + timedelta(days=400))
    alarms.restore(T + MINUTE)
    assert of(alarms).state is AlarmState.UNACKNOWLEDGED
    alarms.acknowledge(of(alarms).id, by="Ada", at=T + MINUTE)
    alarms.restore(T + 2 * MINUTE)
    assert of(alarms).state is AlarmState.ACKNOWLEDGED


def test_what_becomes_more_urgent_on_its_shelf_stays_there_no_longer_than_that_may(
    store: AlarmStore,
) -> None:
    alarms = AlarmPath(store, around=AROUND, priorities={"cold": Priority.MEDIUM})
    alarms.raise_(replace(found(), priority=Priority.MEDIUM))
    alarms.shelve("cold", ShelfWish(reason="away", for_s=86400.0), by="Ada", at=T)
    alarms.raise_(replace(found(), learned_at=T + MINUTE))
    end = T + LONGEST_SHELF[Priority.HIGH]
    assert (of(alarms).suppressed_until, alarms.next_deadline()) == (end, end)
    alarms.tick(end)
    assert of(alarms).told
