"""How well a sensor talks is counted from what is stored, and told no better than it is."""

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from dashboards.sensor_facts import SensorFacts, facts_in_words
from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.answers.sensor_health import sensors_health
from service.quality.correction import Correction
from service.quality.flag import Flag, Judged
from service.store.calibration_store import Calibration
from service.store.reading_store import Batch
from service.store.sqlite_readings import SqliteReadings

UTC_ZONE = ZoneInfo("UTC")
NOW = datetime(2026, 4, 21, 12, 30, tzinfo=UTC)
HOUR = timedelta(hours=1)
SENSOR = Sensor(device="th-1", place="shed", interval=HOUR, overdue_after=3 * HOUR)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteReadings]:
    kept = SqliteReadings(tmp_path / "readings.db", writer=True)
    yield kept
    kept.close()


def tell(
    store: SqliteReadings,
    hours_ago: Sequence[float],
    flag: Flag = Flag.PASS,
    quantity: Quantity = Quantity.TEMPERATURE,
    reason: str = "",
) -> None:
    judged = []
    for ago in hours_ago:
        at = NOW - ago * HOUR
        reading = Reading(
            device="th-1",
            place="shed",
            quantity=quantity,
            value=12.0,
            measured_at=at,
            received_at=at,
        )
        judged.append(Judged(reading=reading, flag=flag, reason=reason))
    store.commit(Batch(judged=judged))


def told(store: SqliteReadings) -> str:
    (health,) = sensors_health(store, [SENSOR], (), NOW)
    return " ".join(facts_in_words(health, NOW, UTC_ZONE))


def test_a_month_without_a_gap_is_all_of_it(store: SqliteReadings) -> None:
    tell(store, range(31 * 24))
    assert told(store) == (
        "All 25 values of the last day were good. In 30 days it was heard 100% of the time."
    )


def test_a_silence_is_missed_from_the_month_but_for_what_its_interval_covers(
    store: SqliteReadings,
) -> None:
    # Silent for 153 hours; the first three of them its last reading still covers: 150 of 720.
    tell(store, [ago for ago in range(31 * 24) if not 100 < ago < 253])
    assert "In 30 days it was heard 79% of the time." in told(store)


def test_a_sensor_that_is_new_is_measured_by_its_own_time(store: SqliteReadings) -> None:
    tell(store, range(1, 49))
    assert "In 2 days it was heard 100% of the time." in told(store)


def test_a_hundred_is_told_only_where_nothing_is_missing(store: SqliteReadings) -> None:
    tell(store, [ago for ago in range(31 * 24) if not 100 < ago < 105])
    assert "In 30 days it was heard 99% of the time." in told(store)


def test_what_did_not_pass_is_counted(store: SqliteReadings) -> None:
    tell(store, [1, 2, 3])
    tell(store, [4, 5], Flag.SUSPECT)
    tell(store, [6], Flag.FAIL)
    tell(store, [30], Flag.FAIL)
    assert "Of 6 values of the last day 2 doubtful and 1 not believed." in told(store)


def test_why_values_are_doubted_is_counted_by_its_kind(store: SqliteReadings) -> None:
    tell(store, range(4, 20))
    tell(store, [3], Flag.SUSPECT, reason="perhaps stuck: 12 °C ... for 60 minutes")
    tell(store, [2], Flag.SUSPECT, reason="perhaps stuck: 12 °C ... for 61 minutes")
    tell(store, [1], Flag.FAIL, reason="a lone spike: 12 between 3 and 4 °C")
    assert (
        "Of 19 values of the last day 2 doubtful and 1 not believed: "
        "2 perhaps stuck, 1 sticking out alone." in told(store)
    )


def test_silence_that_is_over_is_told(store: SqliteReadings) -> None:
    tell(store, [1, 2, 9, 10, 20, 21])
    assert "In the last day it was silent twice for longer than it may be." in told(store)


def test_a_sensor_that_said_nothing_for_a_day_is_not_called_good(store: SqliteReadings) -> None:
    tell(store, range(30, 60))
    text = told(store)
    assert "No value came in the last day." in text
    assert "good" not in text


def test_a_quantity_that_is_told_seldom_does_not_make_the_sensor_seem_silent(
    store: SqliteReadings,
) -> None:
    tell(store, range(31 * 24))
    tell(store, [200], quantity=Quantity.BATTERY)
    assert "In 30 days it was heard 100% of the time." in told(store)


def test_before_the_first_word_nothing_is_told(store: SqliteReadings) -> None:
    assert told(store) == ""


def test_it_is_counted_seldom_and_anew_when_the_clock_goes_back() -> None:
    counted: list[datetime] = []

    def count(now: datetime) -> dict[str, tuple[str, ...]]:
        counted.append(now)
        return {"th-1": (f"{len(counted)}",)}

    facts = SensorFacts(count)
    minute = timedelta(minutes=1)
    for at in (NOW, NOW + minute, NOW + 4 * minute, NOW + 5 * minute, NOW - minute):
        facts.told(at)
    assert counted == [NOW, NOW + 5 * minute, NOW - minute]


def test_it_is_counted_anew_after_a_change_of_settings_or_calibrations() -> None:
    terms = [1]
    facts = SensorFacts(lambda _now: {"th-1": (f"by {terms[0]}",)}, lambda: tuple(terms))
    assert facts.told(NOW)["th-1"] == ("by 1",)
    terms[0] = 2
    assert facts.told(NOW)["th-1"] == ("by 2",)


def test_an_interval_that_is_not_what_was_set_is_told(store: SqliteReadings) -> None:
    tell(store, range(1, 24, 2))
    assert "It is heard every 2 h; set is 60 min." in told(store)


def test_an_interval_that_is_about_what_was_set_is_not_told(store: SqliteReadings) -> None:
    tell(store, range(1, 24))
    assert "heard every" not in told(store)


def test_a_calibration_is_told_with_its_date_and_who_made_it(store: SqliteReadings) -> None:
    tell(store, range(1, 24))
    made = Calibration(
        id=1,
        correction=Correction(
            device="th-1", quantity=Quantity.TEMPERATURE, since=NOW, slope=1.0, offset=0.5
        ),
        method="offset",
        reference="a thermometer",
        before=18.0,
        after=18.5,
        by="Ida",
        made_at=NOW - 24 * HOUR,
    )
    (health,) = sensors_health(store, [SENSOR], [made], NOW)
    words = facts_in_words(health, NOW, UTC_ZONE)
    assert "Temperature calibrated yesterday 12:30 by Ida." in words
