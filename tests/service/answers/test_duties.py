"""Duties as scripts are told them, by what was really measured and stored."""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from devices.reading import Quantity, Reading
from service.answers.duties import duties_done, duties_now
from service.answers.duty_list import DutyList, duty_list
from service.answers.measured_air import MeasuredAir
from service.climate.food_clock import Keeping, KeepsTo
from service.nests.duty import DutySlot, DutyTerms, Missed, OnWarmDay, Visit, WhereKind
from service.nests.duty_air import AirTold, FoodOut, Warmth
from service.quality.flag import Flag, Judged
from service.settings.settings import Settings
from service.store.reading_store import Batch
from service.store.sql_records import Records, open_records
from service.store.sqlite_readings import SqliteReadings
from tests.service.answers.test_answers import settings as settings_of
from tests.service.nests.duties_at_hand import PLACES, at, terms

ZONE = ZoneInfo("Europe/Amsterdam")
# The clocks went forward in the small hours of this day.
SUNDAY = date(2026, 3, 29)
MINUTE = timedelta(minutes=1)
KEYS = {"due", "place", "what", "why", "done_at", "minutes"}


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    return replace(settings_of(tmp_path), places=PLACES)


@pytest.fixture
def readings(settings: Settings) -> Iterator[SqliteReadings]:
    opened = SqliteReadings(settings.readings_file, writer=True)
    yield opened
    opened.close()


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    opened.nest_book.put_places(PLACES)
    yield opened
    opened.close()


def measure(
    store: SqliteReadings, since: datetime, until: datetime, value: float, flag: Flag = Flag.PASS
) -> None:
    """Every five minutes, both ends included."""
    judged = []
    now = since
    while now <= until:
        reading = Reading(
            device="th-shed",
            place="shed",
            quantity=Quantity.TEMPERATURE,
            value=value,
            measured_at=now,
            received_at=now,
        )
        judged.append(Judged(reading=reading, flag=flag, reason=""))
        now += 5 * MINUTE
    store.commit(Batch(judged=judged))


def told(
    readings: SqliteReadings, settings: Settings, until: float, place: str = "box-1"
) -> AirTold:
    air = MeasuredAir(readings, settings)
    return air.warmth(place, 25.0, at(SUNDAY, 0), at(SUNDAY, until))


def test_a_warm_quarter_of_an_hour_makes_a_warm_day_and_is_told_with_its_time(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 13), 18)
    measure(readings, at(SUNDAY, 13.25), at(SUNDAY, 13.5), 29.31)
    assert told(readings, settings, 20) == AirTold(
        warmth=Warmth.OVER, words="29.3° at 13:15 in Hazel shed"
    )


def test_a_day_that_was_followed_throughout_and_stayed_cool_is_known_to_be(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 16), 25.0)
    assert told(readings, settings, 16).warmth is Warmth.NOT_OVER


@pytest.mark.parametrize(
    ("gap", "words"),
    [
        ((0, 12), "nothing heard from Hazel shed since 12:00"),
        ((12, 16), "nothing heard from Hazel shed from 0:00 to 12:00"),
    ],
    ids=["now silent", "silent in the morning"],
)
def test_a_silence_leaves_nobody_to_tell(
    readings: SqliteReadings, settings: Settings, gap: tuple[float, float], words: str
) -> None:
    measure(readings, at(SUNDAY, gap[0]), at(SUNDAY, gap[1]), 18)
    assert told(readings, settings, 16) == AirTold(warmth=Warmth.CANNOT_TELL, words=words)


def test_values_that_failed_count_as_none(readings: SqliteReadings, settings: Settings) -> None:
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 16), 40, Flag.FAIL)
    assert told(readings, settings, 16).warmth is Warmth.CANNOT_TELL


def test_without_a_thermometer_nobody_can_tell(
    readings: SqliteReadings, settings: Settings
) -> None:
    assert "no thermometer" in told(readings, settings, 16).words


def test_a_sensor_that_stands_there_no_more_tells_nothing_of_today(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 16), 18)
    assert told(readings, replace(settings, sensors=()), 16).warmth is Warmth.CANNOT_TELL


def listed(
    records: Records, readings: SqliteReadings, settings: Settings, now: datetime
) -> DutyList:
    return duty_list(records.nest_book, records.duties, readings, settings, now)


def add(records: Records, *told: DutyTerms) -> None:
    records.duties.add(told, by=None, form_id=uuid4())


def test_what_is_due_and_what_was_done_are_told_with_the_keys_that_scripts_rely_on(
    records: Records, readings: SqliteReadings, settings: Settings
) -> None:
    add(records, terms("Seed", WhereKind.EVERY_CAGE, since=at(SUNDAY, 0)))
    before = listed(records, readings, settings, at(SUNDAY, 9))
    slot = before.due[0].slot
    words = {slot: before.due[0].words}
    records.duties.mark_done(words, at=at(SUNDAY, 9), by="Ann", form_id=uuid4())
    answer = duties_now(listed(records, readings, settings, at(SUNDAY, 10)))
    assert [(one["place"], one["standing"], one["by"]) for one in answer] == [
        ("cage-1", "done", "Ann"),
        ("cage-2", "due", None),
    ]
    assert all(set(one) >= KEYS for one in answer)
    # 4:00 of that summer day is 2:00 UTC; 9:00 is 7:00.
    assert (answer[0]["due"], answer[0]["done_at"]) == (
        "2026-03-29T02:00:00Z",
        "2026-03-29T07:00:00Z",
    )
    assert json.loads(json.dumps(answer)) == answer


def test_a_carried_duty_that_is_done_today_is_among_what_was_done_today(
    records: Records, readings: SqliteReadings, settings: Settings
) -> None:
    weekly = terms("Trays", since=at(SUNDAY, 0), missed=Missed.CARRIED)
    add(records, weekly)
    week = SUNDAY + timedelta(days=6)
    [due] = listed(records, readings, settings, at(week, 3)).due
    assert (due.day, due.missed_since) == (week - timedelta(days=1), SUNDAY)
    records.duties.mark_done({due.slot: "Trays"}, at=at(week, 3), by=None, form_id=uuid4())
    after = listed(records, readings, settings, at(week, 3))
    assert (after.due, [one.slot for one in after.done]) == ((), [due.slot])


def test_a_warm_day_is_due_by_what_the_sensor_measured(
    records: Records, readings: SqliteReadings, settings: Settings
) -> None:
    out = terms("Soft food out", schedule=OnWarmDay(over_c=25), since=at(SUNDAY, 0))
    add(records, out)
    unknown = duties_now(listed(records, readings, settings, at(SUNDAY, 14)))
    assert [(one["sure"], (one["why"] or "")[:11]) for one in unknown] == [(False, "cannot tell")]
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 14), 19)
    assert duties_now(listed(records, readings, settings, at(SUNDAY, 14))) == []
    measure(readings, at(SUNDAY, 14.5), at(SUNDAY, 14.5), 31)
    warm = duties_now(listed(records, readings, settings, at(SUNDAY, 14.6)))
    assert [one["sure"] for one in warm] == [True]


def test_what_was_done_stays_told_when_its_duty_is_no_more(records: Records) -> None:
    add(records, terms("Seed", since=at(SUNDAY, 0)))
    [duty] = records.duties.duties()
    slot = DutySlot(duty_id=duty.id, place="shed", day=SUNDAY, visit=Visit.MORNING)
    records.duties.mark_done({slot: "Seed"}, at=at(SUNDAY, 9), by=None, form_id=uuid4())
    records.duties.take_away(duty.id, at=at(SUNDAY, 10), by=None)
    done = records.duties.told(at(SUNDAY, 0))
    times = records.duties.visit_times()
    [answer] = duties_done(done, records.duties.duties(), ZONE, times)
    assert (answer["what"], answer["why"], answer["minutes"]) == ("Seed", None, None)


KEEPING = Keeping(steps=(KeepsTo(up_to_c=20, hours=8), KeepsTo(up_to_c=25, hours=4)), hotter_h=1)


def food(readings: SqliteReadings, settings: Settings, now: float, until: float) -> AirTold:
    """Of what was put out at 7."""
    out = FoodOut(put_out=at(SUNDAY, 7), now=at(SUNDAY, now), until=at(SUNDAY, until))
    return MeasuredAir(readings, settings).souring("shed", KEEPING, out)


def test_food_that_sours_before_the_next_visit_is_told_with_its_time(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 10), 23.0)
    told = food(readings, settings, 10, 15)
    assert told.warmth is Warmth.OVER
    assert told.words == "sour about 11:00, 23.0° at most in Hazel shed in 24 h"
    assert food(readings, settings, 10, 10.5).warmth is Warmth.NOT_OVER


@pytest.mark.parametrize(
    ("put_out", "now", "says"),
    [(7.2, 10, "sour about 11:00,"), (7.2, 11.05, "sour within half an hour,")],
)
def test_no_minute_is_told_of_when_food_sours(
    readings: SqliteReadings, settings: Settings, put_out: float, now: float, says: str
) -> None:
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 11), 23.0)
    out = FoodOut(put_out=at(SUNDAY, put_out), now=at(SUNDAY, now), until=at(SUNDAY, 15))
    told = MeasuredAir(readings, settings).souring("shed", KEEPING, out)
    assert told.words.startswith(says)


def test_a_warmer_day_before_asks_sooner(readings: SqliteReadings, settings: Settings) -> None:
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 8), 18.0)
    assert food(readings, settings, 8, 14.9).warmth is Warmth.NOT_OVER
    day_before = at(SUNDAY - timedelta(days=1), 16)
    measure(readings, day_before, day_before, 24.0)
    assert food(readings, settings, 8, 14.9).warmth is Warmth.OVER


def test_food_in_unmeasured_warmth_may_be_sour_sooner_and_says_that_nobody_can_tell(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 7), 18.0)
    told = food(readings, settings, 9, 14)
    assert told == AirTold(warmth=Warmth.CANNOT_TELL, words="nothing is heard from Hazel shed")
    assert food(readings, replace(settings, sensors=()), 9, 14).warmth is Warmth.CANNOT_TELL


def test_a_doubted_sensor_lets_no_food_keep_and_may_say_that_it_sours(
    readings: SqliteReadings, settings: Settings
) -> None:
    # Stuck at 18 °C since half past seven: it may be as hot as the table goes.
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 7.5), 18.0)
    measure(readings, at(SUNDAY, 7.5) + MINUTE, at(SUNDAY, 10), 18.0, Flag.SUSPECT)
    told = food(readings, settings, 10, 14)
    assert told.warmth is Warmth.CANNOT_TELL
    assert told.words == "what is heard from Hazel shed is in doubt"
    measure(readings, at(SUNDAY, 10) + MINUTE, at(SUNDAY, 10) + MINUTE, 31.0, Flag.SUSPECT)
    assert food(readings, settings, 10.1, 14).warmth is Warmth.OVER


def test_a_day_of_doubted_values_is_not_known_to_have_been_cool(
    readings: SqliteReadings, settings: Settings
) -> None:
    measure(readings, at(SUNDAY, 0), at(SUNDAY, 10), 18.0)
    measure(readings, at(SUNDAY, 10) + MINUTE, at(SUNDAY, 16), 18.0, Flag.SUSPECT)
    told = MeasuredAir(readings, settings).warmth("shed", 28.0, at(SUNDAY, 0), at(SUNDAY, 16))
    assert told.warmth is Warmth.CANNOT_TELL
    assert told.words == "what was heard from Hazel shed since 10:00 is in doubt"
