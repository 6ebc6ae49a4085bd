"""The watch as a process, over a real broker: what it stores, survives and says."""

import json
import random
import subprocess
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from service.heartbeat import heartbeat_file, read_heartbeat
from service.store.alarm_store import RequestKind
from service.store.sql_records import open_records
from service.store.sqlite_readings import SqliteReadings
from tests.listening import publish, wait_until
from tests.needs import need
from tests.walks.command_line import run, shown
from tests.walks.running_shed import SHED, RunningShed, running_shed

pytestmark = [pytest.mark.broker, pytest.mark.faults]

TOPIC = "clutchweather/th-shed/senml"
MESSAGES = 5000
START = datetime(2026, 3, 1, tzinfo=UTC)


@pytest.fixture
def shed(tmp_path: Path) -> Iterator[RunningShed]:
    with running_shed(tmp_path) as shed:
        yield shed


def pack(celsius: float, at: datetime | None = None) -> str:
    record: dict[str, Any] = {"n": "th-shed:temperature", "u": "Cel", "v": celsius}
    if at is not None:
        record["t"] = at.timestamp()
    return json.dumps([record])


def stored_values(data: Path) -> list[float]:
    store = SqliteReadings(data / "readings.db", writer=False)
    try:
        return [
            reading.value
            for series in store.series()
            for reading in store.window(series.id, START, datetime.now(UTC) + timedelta(days=1))
        ]
    finally:
        store.close()


def test_a_published_message_is_shown_within_eight_seconds(shed: RunningShed) -> None:
    program = need("mosquitto_pub", "broker")
    shed.watch()
    subprocess.run(
        [program, "-p", str(shed.broker.port), "-q", "1", "-t", TOPIC, "-m", pack(18.4)],
        check=True,
    )
    wait_until(lambda: bool(shown("latest", shed.data)), within=8)
    (latest,) = shown("latest", shed.data)
    assert (latest["value"], latest["stale"], latest["place"]) == (18.4, False, "shed")
    assert latest["age_s"] < 10


def test_a_watch_killed_amid_5000_messages_misses_and_doubles_nothing(shed: RunningShed) -> None:
    chance = random.Random(7)
    watch = shed.watch()
    stamps = [datetime.now(UTC) - timedelta(hours=2) + timedelta(seconds=n) for n in range(5000)]
    sent = 0
    while sent < MESSAGES:
        batch = range(sent, min(sent + chance.randint(150, 700), MESSAGES))
        publish(shed.broker.address, [pack(n / 500, stamps[n]) for n in batch], topic=TOPIC)
        sent = batch.stop
        if chance.random() < 0.6:
            time.sleep(chance.uniform(0.0, 0.6))
            watch.kill()
            watch.wait()
            watch = shed.command("watch")
    wait_until(lambda: len(stored_values(shed.data)) >= MESSAGES, within=40)
    time.sleep(1)
    assert stored_values(shed.data) == [n / 500 for n in range(MESSAGES)]


def test_a_second_copy_refuses_and_says_why(shed: RunningShed) -> None:
    shed.watch()
    second = run("watch", "--data", shed.data)
    assert second.returncode == 2
    assert "another copy" in second.stderr


def test_a_message_of_before_the_start_is_not_missed(shed: RunningShed) -> None:
    watch = shed.watch()
    watch.terminate()
    watch.wait(10)
    publish(shed.broker.address, [pack(7.5)], topic=TOPIC)
    shed.watch()
    wait_until(lambda: stored_values(shed.data) == [7.5], within=10)


def test_a_broker_that_comes_late_is_waited_for(shed: RunningShed) -> None:
    shed.broker.stop()
    watch = shed.command("watch")
    file = heartbeat_file(shed.data)
    wait_until(lambda: (beat := read_heartbeat(file)) is not None and beat.pid == watch.pid, 20)
    beat = read_heartbeat(file)
    assert beat is not None
    assert "not connected" in beat.broker
    shed.broker.start()
    wait_until(lambda: shed.listens(watch.pid), within=15)
    publish(shed.broker.address, [pack(9.0)], topic=TOPIC)
    wait_until(lambda: stored_values(shed.data) == [9.0], within=10)


def test_a_silent_sensor_is_an_alarm_that_a_page_can_acknowledge(tmp_path: Path) -> None:
    quick = SHED.replace('interval = "60 s"', 'interval = "1 s"')
    with running_shed(tmp_path, configuration=quick) as shed:
        shed.watch()
        wait_until(lambda: len(shown("alarms", shed.data)) == 2, within=15)
        records = open_records("sqlite:///records.db", shed.data)
        try:
            alarm = records.alarms.open_alarms()[0]
            records.requests.ask(
                RequestKind.ACKNOWLEDGE, alarm.id, by="keeper", at=datetime.now(UTC)
            )
            wait_until(lambda: not records.requests.pending(), within=4)
        finally:
            records.close()
        states = {item["id"]: item["state"] for item in shown("alarms", shed.data)}
        assert states[alarm.id] == "acknowledged"


def test_a_fast_sensor_is_not_overdue_while_its_messages_wait_for_a_commit(
    tmp_path: Path,
) -> None:
    quick = SHED.replace('interval = "60 s"', 'interval = "1 s"')
    with running_shed(tmp_path, configuration=quick) as shed:
        publish(shed.broker.address, [pack(9.0)], topic=TOPIC)
        shed.watch()
        for n in range(16):
            publish(shed.broker.address, [pack(9.0 + n)], topic=TOPIC)
            time.sleep(0.6)
        wait_until(lambda: len(stored_values(shed.data)) >= 10, within=8)
        assert "overdue:th-shed" not in {item["rule"] for item in shown("alarms", shed.data)}


def test_a_faulty_configuration_keeps_the_last_good_one_and_says_so(shed: RunningShed) -> None:
    watch = shed.watch()
    watch.terminate()
    watch.wait(10)
    file = shed.data / "clutchweather.toml"
    file.write_text(file.read_text().replace("low = 5.0", 'low = "five"'))
    shed.watch()
    beat = read_heartbeat(heartbeat_file(shed.data))
    assert beat is not None
    assert any("limit[1].low" in note for note in beat.notes)
    publish(shed.broker.address, [pack(9.0)], topic=TOPIC)
    wait_until(lambda: stored_values(shed.data) == [9.0], within=10)


def test_up_starts_a_watch_anew_that_was_killed(shed: RunningShed) -> None:
    shed.command("up")
    file = heartbeat_file(shed.data)
    wait_until(lambda: read_heartbeat(file) is not None, within=20)
    first = read_heartbeat(file)
    assert first is not None
    subprocess.run(["kill", "-9", str(first.pid)], check=True)
    wait_until(lambda: (beat := read_heartbeat(file)) is not None and beat.pid != first.pid, 20)


def test_terminate_ends_up_and_both_of_its_processes(shed: RunningShed) -> None:
    up = shed.command("up")
    file = heartbeat_file(shed.data)
    wait_until(lambda: read_heartbeat(file) is not None, within=20)
    beat = read_heartbeat(file)
    assert beat is not None
    up.terminate()
    assert up.wait(12) == 0
    wait_until(lambda: not Path(f"/proc/{beat.pid}").exists(), within=2)


def test_a_damaged_store_is_put_aside_and_the_watch_goes_on(shed: RunningShed) -> None:
    (shed.data / "readings.db").write_bytes(b"this is no database, it only has its name" * 200)
    shed.watch()
    publish(shed.broker.address, [pack(9.0)], topic=TOPIC)
    wait_until(lambda: stored_values(shed.data) == [9.0], within=10)
    assert list(shed.data.glob("readings.db.damaged-*"))
    beat = read_heartbeat(heartbeat_file(shed.data))
    assert beat is not None
    assert any("put aside" in note for note in beat.notes)


def test_a_message_full_of_traps_does_not_end_the_watch(shed: RunningShed) -> None:
    watch = shed.watch()
    traps = [r'[{"n":"t","v":"\ud800"}]', r'[{"n":"\udfff","v":1}]', "[" * 5000, '{"v":1e999}']
    publish(shed.broker.address, [*traps, pack(9.0)], topic=TOPIC)
    wait_until(lambda: stored_values(shed.data) == [9.0], within=10)
    assert watch.poll() is None


def test_a_parent_that_is_killed_leaves_no_watch_behind(shed: RunningShed) -> None:
    up = shed.command("up")
    file = heartbeat_file(shed.data)
    wait_until(lambda: read_heartbeat(file) is not None, within=20)
    beat = read_heartbeat(file)
    assert beat is not None
    up.kill()
    wait_until(lambda: not Path(f"/proc/{beat.pid}").exists(), within=8)
