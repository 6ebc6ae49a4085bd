"""From the nest book to an alarm, by event time."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from service.alarm_path import AlarmPath
from service.alarms.alarm import Alarm, AlarmState
from service.alarms.suppression import SuppressionKind
from service.answers.nests_to_judge import records_since
from service.backup.last_backup import note_backup
from service.clock import FixedClock, PacedClock
from service.errors import StoreUnavailableError
from service.nest_check_path import Asked, NestCheckPath
from service.nest_rules_path import BookOf, NestRulesPath
from service.nests.duty import VisitTimes
from service.nests.nest import BeddingLevel, BeddingSeen, EggFate, Nest, Sex
from service.rules.nest_rules.backup_old import BackupKnown
from service.rules.nest_rules.of_shed import ShedBook
from service.rules.rule_settings import RuleSet, RuleSettings
from service.store.sql_records import Records, open_records
from service.wiring import living_book
from tests.service.nests.nests_in_days import BOX, SPECIES, chick, day, egg, look, nest
from tests.service.shed_in_a_folder import CONFIGURATION, EVENING, minutes, shed_in

ZONE = ZoneInfo("Europe/Amsterdam")
MINUTE = timedelta(minutes=1)
UNSEEN = nest([egg(1, 3)], checks=[look(3, 1), look(4, 0, not_in_sight=(1,))])
"""Not seen at noon of 5 March (UTC)."""


@dataclass
class Book:
    """A book whose pages turn: ``nest`` is what it tells, ``turned`` how often it was written."""

    nest: Nest
    turned: int = 0
    read: int = 0
    broken: Exception | None = None

    def write(self, nest: Nest) -> None:
        self.nest, self.turned = nest, self.turned + 1

    def reading(self) -> ShedBook:
        self.read += 1
        if self.broken is not None:
            raise self.broken
        return ShedBook(
            nests=(self.nest,),
            places=(BOX,),
            species=SPECIES,
            weighings={},
            duties=(),
            done=(),
            times=VisitTimes(),
        )


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    records = open_records("sqlite:///records.db", tmp_path)
    yield records
    records.close()


@dataclass
class Walked:
    book: Book
    path: NestRulesPath
    alarms: AlarmPath

    def until(self, at: datetime) -> None:
        while (due := self.path.next_deadline()) is not None and due <= at:
            self.path.tick(due)

    def of(self, kind: str) -> Alarm | None:
        return self.alarms.of(f"{kind}:box-1")


def walked(
    records: Records, book: Book, at: datetime, *, rules: RuleSettings | None = None
) -> Walked:
    alarms = AlarmPath(records.alarms, around={"box-1": "cage-1"})
    path = NestRulesPath(
        BookOf(book.reading, lambda: book.turned), rules or RuleSettings(), ZONE, "shed", alarms
    )
    path.restore(at)
    return Walked(book, path, alarms)


def test_what_a_look_tells_is_raised_within_a_minute_of_its_being_told(records: Records) -> None:
    shed = walked(records, Book(replace(UNSEEN, checks=UNSEEN.checks[:1])), day(3.9))
    shed.until(day(4))
    assert shed.of("egg-unseen") is None
    shed.book.write(UNSEEN)
    shed.until(day(4) + MINUTE)
    alarm = shed.of("egg-unseen")
    assert alarm is not None
    assert day(4) < alarm.raised_at <= day(4) + MINUTE


def test_it_is_cleared_when_the_book_says_so(records: Records) -> None:
    shed = walked(records, Book(UNSEEN), day(4))
    shed.until(day(4))
    shed.book.write(replace(UNSEEN, checks=(*UNSEEN.checks, look(5, 1))))
    shed.until(day(5))
    alarm = shed.of("egg-unseen")
    assert alarm is not None
    assert alarm.state is AlarmState.RETURNED_UNACKNOWLEDGED


def test_what_can_not_be_told_clears_nothing(records: Records) -> None:
    late = nest([egg(1, 3)], checks=[look(3, 1), look(6.1, 1)])
    shed = walked(records, Book(late), day(6.1))
    shed.until(day(6.1))
    shed.book.write(replace(late, checks=late.checks[:1]))  # the look was told for another box
    shed.until(day(7))
    alarm = shed.of("laying-late")
    assert alarm is not None
    assert alarm.state.active


def test_a_low_one_waits_for_the_day_and_one_that_life_hangs_on_does_not(records: Records) -> None:
    deep = BeddingSeen(level=BeddingLevel.DEEP)
    in_the_night = datetime(2026, 3, 6, 2, 30, tzinfo=UTC)
    seen = nest([egg(1, 3)], checks=[look(3, 1), look(4.6, 1, bedding=deep)])
    shed = walked(records, Book(seen), in_the_night)
    shed.until(in_the_night)
    assert shed.of("deep-bedding") is None
    shed.until(in_the_night + timedelta(hours=4))
    alarm = shed.of("deep-bedding")
    assert alarm is not None
    assert alarm.raised_at.astimezone(ZONE).hour == 7
    at_night = walked(records, Book(UNSEEN), in_the_night)
    at_night.until(in_the_night)
    assert at_night.of("egg-unseen") is not None


def low_one(records: Records) -> Walked:
    deep = BeddingSeen(level=BeddingLevel.DEEP)
    shed = walked(records, Book(nest([egg(1, 3)], checks=[look(3, 1, bedding=deep)])), day(3))
    shed.until(day(3))
    assert shed.of("deep-bedding") is not None
    return shed


def test_a_small_thing_that_was_done_asks_nobody_to_have_seen_it(records: Records) -> None:
    shed = low_one(records)
    thin = look(4, 1, bedding=BeddingSeen(level=BeddingLevel.THIN))
    shed.book.write(replace(shed.book.nest, checks=(*shed.book.nest.checks, thin)))
    shed.until(day(4))
    shed.alarms.save()
    (alarm,) = records.alarms.alarms(None, None)
    assert (alarm.state, alarm.acknowledged_by) == (AlarmState.NORMAL, "the nest book")


def test_what_ran_out_undone_waits_to_be_seen(records: Records) -> None:
    hatched = egg(1, 5, fate=EggFate.HATCHED, fate_to=day(25))
    rearing = nest([hatched], [chick(1, 25)], [look(25, 0, 1), look(33, 0, 1)])
    shed = walked(records, Book(rearing), day(33.9))
    shed.until(day(37))
    alarm = shed.of("ring-closing")
    assert alarm is not None
    assert alarm.state is AlarmState.RETURNED_UNACKNOWLEDGED


def test_deep_bedding_keeps_still_while_an_egg_is_out_of_sight_in_it(records: Records) -> None:
    deep = BeddingSeen(level=BeddingLevel.DEEP)
    looks = [look(3, 1, bedding=deep), look(4, 1, not_in_sight=(1,))]
    shed = walked(records, Book(nest([egg(1, 2), egg(2, 3)], checks=looks)), day(4))
    shed.until(day(4))
    alarm = shed.of("deep-bedding")
    assert alarm is not None
    assert alarm.suppressed is SuppressionKind.BY_DESIGN


def test_a_second_egg_out_of_sight_is_news_to_who_knew_of_the_first(records: Records) -> None:
    eggs = [egg(1, 2), egg(2, 3)]
    looks = [look(3, 2), look(4, 1, not_in_sight=(1,))]
    shed = walked(records, Book(nest(eggs, checks=looks)), day(4))
    shed.until(day(4))
    first = shed.of("egg-unseen")
    assert first is not None
    shed.alarms.acknowledge(first.id, by="Ada", at=day(4) + MINUTE)
    shed.book.write(nest(eggs, checks=[*looks, look(5, 1, not_in_sight=(1,))]))
    shed.until(day(5))
    same = shed.of("egg-unseen")
    assert same is not None
    assert (same.id, same.state) == (first.id, AlarmState.ACKNOWLEDGED)
    assert "2 looks" in same.text
    looks = [*looks, look(5, 1, not_in_sight=(1,)), look(6, 0, not_in_sight=(1, 2))]
    shed.book.write(nest(eggs, checks=looks))
    shed.until(day(6))
    news = shed.of("egg-unseen")
    assert news is not None
    assert news.state is AlarmState.UNACKNOWLEDGED
    assert "eggs 1 and 2" in news.text


def test_a_start_anew_tells_nothing_twice(records: Records) -> None:
    shed = walked(records, Book(UNSEEN), day(4))
    shed.until(day(4))
    shed.alarms.save()
    again = walked(records, Book(UNSEEN), day(4.5))
    again.until(day(5))
    again.alarms.save()
    assert len(records.alarms.alarms(None, None)) == 1


def test_a_rule_that_is_switched_off_ends_its_alarm(records: Records) -> None:
    shed = walked(records, Book(UNSEEN), day(4))
    shed.until(day(4))
    shed.alarms.save()
    off = RuleSettings(told={"egg-unseen": RuleSet(is_on=False)})
    shed = walked(records, Book(UNSEEN), day(4.1), rules=off)
    shed.until(day(4.1))
    alarm = shed.of("egg-unseen")
    assert alarm is not None
    assert not alarm.state.active
    assert alarm.text.endswith("It is watched for no more.")


@pytest.mark.parametrize(
    ("broken", "words"),
    [
        (StoreUnavailableError("the records can't be used: busy"), "can't be read"),
        (ZeroDivisionError("no"), "ZeroDivisionError"),
    ],
    ids=["busy", "a fault of ours"],
)
def test_a_fault_keeps_alarms_as_they_are_and_is_told_and_tried_again(
    records: Records, broken: Exception, words: str
) -> None:
    shed = walked(records, Book(UNSEEN), day(4))
    shed.until(day(4))
    shed.book.broken = broken
    shed.book.turned += 1
    shed.until(day(4) + 2 * MINUTE)
    alarm = shed.of("egg-unseen")
    assert alarm is not None
    assert alarm.state.active
    assert words in (shed.path.trouble or "")
    shed.book.broken = None
    shed.until(day(4) + 4 * MINUTE)
    assert shed.path.trouble is None


def test_a_book_that_is_not_written_is_read_each_hour_of_the_day_alone(records: Records) -> None:
    shed = walked(records, Book(UNSEEN), day(4))
    shed.until(day(4))
    before = shed.book.read
    shed.until(day(5))
    assert shed.book.read - before == 14  # 7 to 20 o'clock


def test_a_recorded_book_is_read_once_and_tells_each_thing_at_its_own_time(
    records: Records,
) -> None:
    book = Book(replace(UNSEEN, checks=(*UNSEEN.checks, look(5, 1))))
    alarms = AlarmPath(records.alarms)
    path = NestRulesPath(BookOf(book.reading), RuleSettings(), ZONE, "shed", alarms)
    path.restore(day(3.5))
    shed = Walked(book, path, alarms)
    shed.until(day(6))
    alarms.save()
    (alarm,) = records.alarms.alarms(None, None)
    assert (alarm.raised_at, alarm.cleared_at) == (day(4), day(5))
    assert book.read == 1


WITH_A_CAGE = CONFIGURATION.replace(
    'in = "shed"', 'in = "cage-1"\n[[place]]\nid = "cage-1"\nkind = "cage"\nin = "shed"'
)


def test_looks_and_weighings_go_the_whole_way_from_the_form_to_an_alarm(tmp_path: Path) -> None:
    with shed_in(tmp_path, WITH_A_CAGE) as shed:
        book = shed.stores.records.nest_book
        cock, hen = book.add_bird(sex=Sex.COCK), book.add_bird(sex=Sex.HEN)
        book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=date(2026, 3, 1))
        for check in (look(3, 1), look(4, 2), look(5, 1, not_in_sight=(1,))):
            path = NestCheckPath(book, FixedClock(check.at), lambda: ZONE)
            assert not isinstance(path.record(check), Asked)
        shed.walk(*minutes(12.0, 0, 3))
        assert records_since(shed.stores.readings) == EVENING
        shed.restart(day(5) + MINUTE)
        shed.tick(day(5) + MINUTE)
        (alarm,) = shed.alarms("egg-unseen:box-1")
        assert (alarm.place, alarm.state) == ("box-1", AlarmState.UNACKNOWLEDGED)


def test_a_write_of_a_page_shows_and_the_book_tells_when_the_last_backup_was(
    tmp_path: Path,
) -> None:
    with shed_in(tmp_path) as shed:
        shed.walk(*minutes(12.0, 0, 3))
        book = living_book(shed.settings, tmp_path, shed.stores, FixedClock(EVENING))
        assert book.now().backup == BackupKnown(at=None, records_since=EVENING)
        assert not book.has_changed()
        shed.stores.records.nest_book.add_bird(sex=Sex.HEN)
        assert book.has_changed()
        saved = tmp_path / "saved.tar"
        saved.touch()
        note_backup(tmp_path, at=EVENING + MINUTE, file=saved)
        assert book.now().backup == BackupKnown(at=EVENING + MINUTE, records_since=None)


def test_a_simulated_shed_is_asked_for_no_backup(tmp_path: Path) -> None:
    with shed_in(tmp_path) as shed:
        clock = PacedClock.starting(EVENING, 60)
        assert living_book(shed.settings, tmp_path, shed.stores, clock).now().backup is None
