"""The messages of a simulated shed: order, repeatability, and what devices must send."""

import json
from collections import defaultdict
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any

import pytest

from devices.formats.senml import decode
from devices.message import Message
from devices.sensor import Feed, Format
from simulated_feeds.feed import TimedMessage, messages
from simulated_feeds.scenario import PAST, Scenario
from simulated_feeds.scenarios import scenario_named

ORIGIN = datetime(2026, 11, 25, 14, 3, tzinfo=UTC)
SEASON = scenario_named("season", ORIGIN)
SENML = Feed(topic="clutchweather/+/senml", format=Format.SENML)


def last_hours(scenario: Scenario, hours: int = 3) -> list[TimedMessage]:
    return list(messages(scenario, ORIGIN - timedelta(hours=hours), ORIGIN))


def records(message: TimedMessage) -> dict[str, Any]:
    """A pack's values by name, and its time."""
    pack = json.loads(message[2])
    found = {record["n"]: record.get("v", record.get("vs")) for record in pack}
    return found | {"bn": pack[0]["bn"], "bt": pack[0]["bt"]}


@pytest.fixture(scope="module")
def past() -> list[TimedMessage]:
    return list(messages(SEASON, SEASON.start, ORIGIN))


def test_same_scenario_gives_the_same_bytes() -> None:
    again = scenario_named("season", ORIGIN)
    assert last_hours(again) == last_hours(SEASON)


def test_another_seed_gives_other_bytes() -> None:
    assert last_hours(replace(SEASON, seed=2)) != last_hours(SEASON)


def test_a_stretch_has_the_bytes_of_the_whole(past: list[TimedMessage]) -> None:
    assert last_hours(SEASON) == [m for m in past if m[0] >= ORIGIN - timedelta(hours=3)]


def test_messages_are_in_time_order(past: list[TimedMessage]) -> None:
    assert all(earlier[0] < later[0] for earlier, later in pairwise(past))


def test_past_has_three_weeks_at_every_sensor_s_interval(past: list[TimedMessage]) -> None:
    counts: dict[str, int] = defaultdict(int)
    for _, topic, _ in past:
        counts[topic.split("/")[1]] += 1
    minutes = PAST // timedelta(minutes=1)
    assert counts == {
        "th-shed": minutes,
        "th-outdoors": minutes // 2,
        "th-box-2": minutes // 2,
        "th-box-4": minutes // 2,
    }


def test_packs_decode_without_a_fault(past: list[TimedMessage]) -> None:
    for at, topic, payload in past[:: len(past) // 500]:
        decoded = decode(SENML, Message(topic=topic, payload=payload, received_at=at))
        assert not decoded.faults
        assert {one.device for one in decoded.measurements} == {topic.split("/")[1]}
        assert all(one.measured_at == at for one in decoded.measurements)


def test_shed_s_pack_tells_air_and_light() -> None:
    shed = records(last_hours(SEASON)[0])
    assert shed["bn"] == "th-shed:"
    assert shed.keys() >= {"temperature", "humidity", "light", "seq", "boot"}


def test_numbers_of_a_device_run_without_holes(past: list[TimedMessage]) -> None:
    for device in ("th-shed", "th-outdoors", "th-box-2", "th-box-4"):
        own = [records(m) for m in past[-4000:] if f"/{device}/" in m[1]]
        numbers = [pack["seq"] for pack in own]
        assert numbers == list(range(numbers[0], numbers[0] + len(own)))
        assert len({pack["boot"] for pack in own}) == 1


def test_battery_is_told_now_and_then(past: list[TimedMessage]) -> None:
    told = [records(m)["battery"] for m in past if b'"battery"' in m[2]]
    assert 0.01 < len(told) / len(past) < 0.05
    assert all(0 < percent <= 100 for percent in told)


def test_readings_keep_near_the_truth_of_the_cold_night(past: list[TimedMessage]) -> None:
    lows = [records(m)["temperature"] for m in past if "th-shed" in m[1]]
    assert 2.0 < min(lows) < 4.0


def test_humidity_stays_within_its_range(past: list[TimedMessage]) -> None:
    humidities = [records(m)["humidity"] for m in past]
    assert min(humidities) >= 0
    assert max(humidities) <= 100


def test_silent_sensor_falls_silent_at_the_present_and_alone() -> None:
    silent = scenario_named("silent", ORIGIN)
    hour = timedelta(hours=1)
    before = {topic for _, topic, _ in messages(silent, ORIGIN - hour, ORIGIN)}
    after = {topic for _, topic, _ in messages(silent, ORIGIN, ORIGIN + hour)}
    assert before - after == {"clutchweather/th-box-4/senml"}
    assert len(after) == 3


def test_nothing_is_told_before_the_start() -> None:
    early = list(messages(SEASON, SEASON.start - PAST, SEASON.start + timedelta(minutes=2)))
    assert early[0][0] >= SEASON.start
