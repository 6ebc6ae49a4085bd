"""Answers have the keys that scripts rely on, RFC 3339 times, and None for the unknown."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.alarms.alarm import Alarm, AlarmState
from service.answers.alarms import alarms
from service.answers.dead_letters import dead_letters
from service.answers.health import health
from service.answers.latest import is_fresh, latest
from service.answers.nests import nest_answer
from service.answers.nights import nights
from service.answers.readings import readings
from service.answers.telling import age_s, finite, rfc3339
from service.climate.light_plan import LightPlan, Site
from service.intake.broker_address import BrokerAddress
from service.nests.nest import Nest
from service.nests.place import Place, PlaceKind
from service.nests.species import SpeciesSettings
from service.quality.flag import Flag, Judged
from service.rules.limit import Limit, Priority
from service.settings.settings import Settings
from service.store.reading_store import Batch, DeadLetter, Latest, Series
from service.store.sqlite_readings import SqliteReadings

ZONE = ZoneInfo("Europe/Amsterdam")
NOW = datetime(2026, 4, 21, 10, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def at(hour: int, minute: int = 0, day: int = 20) -> datetime:
    return datetime(2026, 4, day, hour, minute, tzinfo=UTC)


def settings(folder: Path) -> Settings:
    site = Site(timezone=ZONE)
    return Settings(
        shed_id="hazel",
        shed_name="Hazel shed",
        site=site,
        light=LightPlan(site=site),
        broker=BrokerAddress(),
        places=(Place(id="shed", kind=PlaceKind.SHED, name="Hazel shed"),),
        feeds=(),
        sensors=(
            Sensor(
                device="th-shed", place="shed", interval=MINUTE, overdue_after=timedelta(minutes=20)
            ),
        ),
        limits=(Limit(id="cold", place="shed", quantity=Quantity.TEMPERATURE, low=6.0),),
        limits_built_in=False,
        readings_file=folder / "readings.db",
        records_url="sqlite:///records.db",
        keep_raw=timedelta(days=400),
        bind="127.0.0.1",
        port=8460,
    )


def newest(measured_at: datetime, device: str = "th-shed") -> Latest:
    return Latest(
        series=Series(id=1, device=device, place="shed", quantity=Quantity.TEMPERATURE),
        measured_at=measured_at,
        received_at=measured_at,
        value=4.5,
        flag=Flag.PASS,
        reason="",
    )


def test_times_are_told_in_utc_with_a_z() -> None:
    local = datetime(2026, 4, 21, 12, 0, tzinfo=ZONE)
    assert rfc3339(local) == "2026-04-21T10:00:00Z"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_told_as_unknown(value: float) -> None:
    assert finite(value) is None


def test_nobody_knows_the_age_of_what_lies_in_the_future() -> None:
    assert age_s(NOW - MINUTE, NOW) == 60.0
    assert age_s(NOW + MINUTE, NOW) == 0.0
    assert age_s(NOW + timedelta(days=1), NOW) is None


def test_latest_has_the_keys_of_the_contract(tmp_path: Path) -> None:
    told = latest([newest(NOW - MINUTE)], settings(tmp_path).sensors, NOW)[0]
    assert told["place"] == "shed"
    assert told["quantity"] == "temperature"
    assert told["unit"] == "°C"
    assert told["value"] == 4.5
    assert told["t"] == "2026-04-21T09:59:00Z"
    assert told["age_s"] == 60.0
    assert told["flag"] == 1
    assert told["stale"] is False


def test_latest_is_stale_when_older_than_its_sensor_may_be_silent(tmp_path: Path) -> None:
    old = newest(NOW - timedelta(minutes=21))
    assert latest([old], settings(tmp_path).sensors, NOW)[0]["stale"] is True


def test_latest_of_a_sensor_that_is_set_up_no_more_is_stale(tmp_path: Path) -> None:
    assert latest([newest(NOW, "gone")], settings(tmp_path).sensors, NOW)[0]["stale"] is True


@pytest.mark.parametrize(
    ("minutes_old", "fresh"),
    [(0, True), (20, True), (20.1, False), (-5, True), (-5.1, False), (-24 * 60, False)],
)
def test_only_what_is_neither_old_nor_of_a_clock_ahead_is_fresh(
    minutes_old: float, fresh: bool
) -> None:
    assert is_fresh(NOW - minutes_old * MINUTE, 20 * MINUTE, NOW) is fresh


def test_latest_of_a_clock_that_ran_ahead_is_stale(tmp_path: Path) -> None:
    ahead = newest(NOW + timedelta(hours=23))
    assert latest([ahead], settings(tmp_path).sensors, NOW)[0]["stale"] is True


def test_alarm_has_the_keys_of_the_contract() -> None:
    alarm = Alarm(
        id="a",
        rule="cold",
        place="shed",
        priority=Priority.HIGH,
        state=AlarmState.RETURNED_UNACKNOWLEDGED,
        raised_at=NOW,
        value=4.0,
        setpoint=5.0,
        text="Shed 4°",
    )
    told = alarms([alarm])[0]
    assert told["state"] == "returned to normal unacknowledged"
    assert told["raised_at"] == "2026-04-21T10:00:00Z"
    assert told["cleared_at"] is None
    assert told["acknowledged_at"] is None
    assert (told["rule"], told["priority"], told["setpoint"]) == ("cold", "high", 5.0)


def test_a_dead_letter_keeps_its_bytes_as_base64() -> None:
    letter = DeadLetter(topic="<img>", payload=b"\xff\x00", reason="why", at=NOW, count=3)
    told = dead_letters([letter])[0]
    assert told["payload_b64"] == "/wA="
    assert told["topic"] == "<img>"
    assert told["count"] == 3


def test_health_without_a_heartbeat_is_not_ok(tmp_path: Path) -> None:
    told = health(None, settings(tmp_path), pages=None, data=tmp_path)
    assert told["ok"] is False
    assert told["parts"] == {
        "listener": False,
        "store": False,
        "rules": False,
        "outbox": None,
        "pages": None,
    }
    assert told["broker"] is None


def test_an_empty_box_is_told_with_unknowns_as_none() -> None:
    box = Place(id="box-1", kind=PlaceKind.BOX, name="Box 1")
    told = nest_answer(Nest(box=box), SpeciesSettings(), NOW, ZONE)
    assert told["stage"] == "empty"
    assert told["pair"] is None
    assert told["fertile"] is None
    assert told["next"] is None
    assert told["eggs"] == 0


def fill(store: SqliteReadings) -> None:
    """A dark night from 19:00 to 05:00 UTC, and air that is at 4 °C from 01:00 to 03:00."""
    rows = []
    moment = at(10, day=20)
    while moment <= at(9, day=21):
        dark = moment >= at(19, day=20) and moment < at(5, day=21)
        cold = at(1, day=21) <= moment < at(3, day=21)
        for quantity, value in (
            (Quantity.ILLUMINANCE, 0.0 if dark else 400.0),
            (Quantity.TEMPERATURE, 4.0 if cold else 12.0),
            (Quantity.RELATIVE_HUMIDITY, 70.0),
        ):
            reading = Reading(
                device="th-shed",
                place="shed",
                quantity=quantity,
                value=value,
                measured_at=moment,
                received_at=moment,
            )
            rows.append(Judged(reading=reading, flag=Flag.PASS))
        moment += timedelta(minutes=5)
    store.commit(Batch(judged=rows))


def test_a_night_is_told_from_real_readings(tmp_path: Path) -> None:
    store = SqliteReadings(tmp_path / "readings.db", writer=True)
    fill(store)
    told = nights(store, settings(tmp_path), at(12, day=20), at(9, day=21), at(9, day=21))
    store.close()
    night = told[-1]
    assert night["night"] == "2026-04-20"
    assert night["from"] == "2026-04-20T19:00:00Z"
    assert night["to"] == "2026-04-21T05:00:00Z"
    assert night["bounds"] == "measured"
    assert night["low_c"] == 4.0
    assert night["low_at"] == "2026-04-21T01:00:00Z"
    assert night["hours_below"] == {"0.0": 0.0, "5.0": 2.0, "6.0": 2.0, "10.0": 2.0}
    assert night["rh_max_pct"] == 70.0
    assert night["condensation_min"] is None
    assert night["coverage"] == 1.0


def test_readings_can_be_told_as_json(tmp_path: Path) -> None:
    store = SqliteReadings(tmp_path / "readings.db", writer=True)
    fill(store)
    told = readings(store, at(10, day=20), at(10, 6, day=20))
    store.close()
    assert len(json.loads(json.dumps(told, allow_nan=False))) == 6
    assert {"series", "place", "quantity", "unit", "t", "value", "flag"} <= set(told[0])
