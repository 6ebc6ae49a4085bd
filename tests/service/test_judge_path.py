"""What the judge knows after a start, from the store alone."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from devices.reading import Quantity, Reading
from service.judge_path import recall
from service.quality.doubt import Doubt, doubts_in
from service.quality.flag import Flag, Judged
from service.quality.judging import Judge, Surroundings
from service.store.reading_store import Batch
from service.store.sqlite_readings import SqliteReadings

NOW = datetime(2026, 3, 20, 12, 0, tzinfo=UTC)
MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
PLACES = ("shed", "cage-1", "cage-2")
SHED = Surroundings(shed_of=dict.fromkeys(PLACES, "shed"))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteReadings]:
    kept = SqliteReadings(tmp_path / "readings.db", writer=True)
    yield kept
    kept.close()


def said(celsius: float, at: datetime, place: str = "shed") -> Reading:
    return Reading(
        device=f"th-{place}",
        place=place,
        quantity=Quantity.TEMPERATURE,
        value=celsius,
        measured_at=at,
        received_at=at,
    )


def keep(store: SqliteReadings, readings: list[Reading], reason: str = "") -> None:
    flag = Flag.SUSPECT if reason else Flag.PASS
    store.commit(Batch(judged=[Judged(reading=one, flag=flag, reason=reason) for one in readings]))


def days(celsius: float, length: timedelta, place: str = "shed") -> list[Reading]:
    """Two readings an hour, a degree apart, until NOW."""
    halves = int(length / (HOUR / 2))
    return [said(celsius + n % 2, NOW - (halves - n) * HOUR / 2, place) for n in range(halves)]


def started(store: SqliteReadings) -> Judge:
    judge = Judge(surroundings=SHED)
    recall(judge, store, NOW)
    return judge


def test_what_is_usual_at_a_place_is_known_after_a_start(store: SqliteReadings) -> None:
    keep(store, days(10.0, 10 * DAY))
    found = started(store).judge(said(23.0, NOW + 30 * MINUTE))
    assert Doubt.UNUSUAL in doubts_in(found.reason)
    assert "held 10.5 to 10.5" in found.reason


def test_a_week_of_a_past_is_needed_to_say_what_is_usual(store: SqliteReadings) -> None:
    keep(store, days(10.0, 5 * DAY))
    found = started(store).judge(said(23.0, NOW + 30 * MINUTE))
    assert Doubt.UNUSUAL not in doubts_in(found.reason)


def test_how_warm_each_place_is_by_itself_is_known_after_a_start(store: SqliteReadings) -> None:
    for place, celsius in zip(PLACES, (10.0, 14.0, 18.0), strict=True):
        keep(store, days(celsius, 4 * DAY, place))
    judge = started(store)
    for n in range(3):
        at = NOW + 6 * n * MINUTE
        of_its_own = judge.judge(said(18.6, at, "cage-2"))
        apart = judge.judge(said(19.1, at, "shed"))
        judge.judge(said(14.5, at, "cage-1"))
    assert of_its_own.flag is Flag.PASS
    assert Doubt.APART in doubts_in(apart.reason)


def test_a_sensor_that_was_apart_is_doubted_from_the_first_reading_after_a_start(
    store: SqliteReadings,
) -> None:
    for place, celsius in zip(PLACES, (10.0, 14.0, 18.0), strict=True):
        keep(store, days(celsius, 4 * DAY, place))
    at = NOW - MINUTE
    keep(store, [said(19.1, at)], "apart from its neighbours: 8.6 °C more than they make likely")
    keep(store, [said(14.5, at, "cage-1"), said(18.6, at, "cage-2")])
    found = started(store).judge(said(19.2, NOW))
    assert Doubt.APART in doubts_in(found.reason)


def test_what_has_been_unusual_for_long_is_how_it_is_now_after_a_start_too(
    store: SqliteReadings,
) -> None:
    keep(store, days(10.0, 10 * DAY))
    halves = [said(23.0 + n % 2, NOW + n * HOUR / 2) for n in range(1, 9)]
    keep(store, halves[:-1])
    judge = Judge(surroundings=SHED)
    recall(judge, store, halves[-1].measured_at)
    assert Doubt.UNUSUAL not in doubts_in(judge.judge(halves[-1]).reason)


def test_fahrenheit_that_began_long_ago_is_still_known_after_a_start(
    store: SqliteReadings,
) -> None:
    keep(store, days(60.0, 3 * DAY), "looks like °F: 60.0 would be 15.6 °C")
    found = started(store).judge(said(61.5, NOW))
    assert Doubt.FAHRENHEIT in doubts_in(found.reason)


def test_a_start_without_readings_knows_nothing(store: SqliteReadings) -> None:
    assert started(store).judge(said(85.0, NOW)).flag is Flag.SUSPECT
