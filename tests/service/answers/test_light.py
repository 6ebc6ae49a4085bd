"""What ``show light`` tells of a real store of readings."""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest

from devices.reading import Quantity, Reading
from service.answers.light import light, light_of_days
from service.climate.light_plan import LampSchedule, LightPlan
from service.quality.flag import Flag, Judged
from service.settings.settings import Settings
from service.store.reading_store import Batch
from service.store.sqlite_readings import SqliteReadings
from tests.service.answers.test_answers import settings

LONG_AGO, FAR = datetime(1971, 1, 1, tzinfo=UTC), datetime(2200, 1, 1, tzinfo=UTC)
STEP = timedelta(minutes=5)
# Two hours ahead of UTC in Amsterdam.
FIRST, NOW = datetime(2026, 4, 20, 1, tzinfo=UTC), datetime(2026, 4, 22, 10, tzinfo=UTC)


def fill(store: SqliteReadings, quantity: Quantity) -> None:
    """Light from 04:30 to 18:30 UTC on each day, up to now; other quantities are as bright."""
    times = [FIRST + k * STEP for k in range((NOW - FIRST) // STEP + 1)]
    readings = [
        Reading(
            device="th-shed",
            place="shed",
            quantity=quantity,
            value=12.0 if time(4, 30) <= one.time() < time(18, 30) else 0.0,
            measured_at=one,
            received_at=one,
        )
        for one in times
    ]
    store.commit(Batch(judged=[Judged(reading=one, flag=Flag.PASS) for one in readings]))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteReadings]:
    opened = SqliteReadings(tmp_path / "readings.db", writer=True)
    yield opened
    opened.close()


@pytest.fixture
def shed(tmp_path: Path) -> Settings:
    """Lamps that come on half an hour later than planned, on summer time."""
    found = settings(tmp_path)
    schedule = LampSchedule(on=time(6), off=time(20))
    plan = LightPlan(site=found.site, schedule=schedule, threshold_lx=10.0)
    return replace(found, light=plan)


def test_each_date_is_told_with_the_keys_of_the_contract(
    store: SqliteReadings, shed: Settings
) -> None:
    fill(store, Quantity.ILLUMINANCE)
    told = json.loads(json.dumps(light(store, shed, LONG_AGO, FAR, NOW), allow_nan=False))
    assert [one["date"] for one in told] == ["2026-04-20", "2026-04-21", "2026-04-22"]
    day = told[1]
    assert (day["on_at"], day["off_at"]) == ("2026-04-21T04:30:00Z", "2026-04-21T18:30:00Z")
    assert (day["light_h"], day["dark_gap_min"], day["night_light_min"]) == (14.0, 0.0, 0.0)
    assert (day["planned_on_at"], day["coverage"]) == ("2026-04-21T04:00:00Z", 1.0)
    assert (told[2]["is_over"], told[2]["off_at"]) == (False, None)


def test_only_dates_that_were_asked_for_are_told(store: SqliteReadings, shed: Settings) -> None:
    fill(store, Quantity.ILLUMINANCE)
    # 22:00 UTC is the local midnight: it bounds the date before.
    since, until = datetime(2026, 4, 20, 22, tzinfo=UTC), datetime(2026, 4, 21, 22, tzinfo=UTC)
    assert [one["date"] for one in light(store, shed, since, until, NOW)] == ["2026-04-21"]


def test_without_a_light_sensor_only_what_was_planned_is_told(
    store: SqliteReadings, shed: Settings
) -> None:
    fill(store, Quantity.TEMPERATURE)
    told = light(store, shed, LONG_AGO, FAR, NOW)
    assert [(one["on_at"], one["light_h"], one["coverage"]) for one in told] == [
        (None, None, 0.0)
    ] * 3
    assert told[0]["planned_off_at"] == "2026-04-20T18:00:00Z"


def test_an_empty_store_has_no_light(store: SqliteReadings, shed: Settings) -> None:
    assert light(store, shed, LONG_AGO, FAR, NOW) == []


def test_means_of_a_quarter_hour_tell_the_same_to_a_quarter_hour(
    store: SqliteReadings, shed: Settings
) -> None:
    fill(store, Quantity.ILLUMINANCE)
    day = date(2026, 4, 21)
    [fine] = light_of_days(store, shed, day, day, NOW)
    [coarse] = light_of_days(store, shed, day, day, NOW, width=3 * STEP)
    assert coarse.light_h == pytest.approx(14.0, abs=0.25)
    assert coarse.coverage == 1.0
    assert coarse.on_at is not None
    assert fine.on_at is not None
    assert abs(coarse.on_at - fine.on_at) <= 3 * STEP


def test_a_date_is_the_same_whether_it_is_asked_for_alone_or_among_others(
    store: SqliteReadings, shed: Settings
) -> None:
    fill(store, Quantity.ILLUMINANCE)
    dates = [date(2026, 4, day) for day in (20, 21, 22)]
    alone = [light_of_days(store, shed, one, one, NOW)[0] for one in dates]
    assert alone == list(light_of_days(store, shed, dates[0], dates[-1], NOW))
