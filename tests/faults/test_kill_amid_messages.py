"""SIGKILL at random points, with messages in flight: nothing missing, nothing doubled."""

import random
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion

from service.store.sqlite_readings import SqliteReadings
from tests.broker_fixture import RunningBroker, running_broker
from tests.listening import wait_until

pytestmark = [pytest.mark.broker, pytest.mark.faults]

CONSUMER = Path(__file__).with_name("consumer.py")
ROOT = Path(__file__).parents[2]
START = datetime(2026, 3, 1, tzinfo=UTC)
MESSAGES = 5000
KILLS = 6


def _consume(broker: RunningBroker, folder: Path) -> "subprocess.Popen[bytes]":
    return subprocess.Popen(
        [sys.executable, str(CONSUMER), str(broker.port), str(folder)],
        cwd=ROOT,
        env={"PYTHONPATH": str(ROOT)},
    )


def _stored(folder: Path) -> list[float]:
    """All values in the store, in order of time; empty while there is none."""
    store = SqliteReadings(folder / "readings.db", writer=False)
    try:
        return [
            reading.value
            for series in store.series()
            for reading in store.window(series.id, START, START + timedelta(days=1))
        ]
    finally:
        store.close()


def _redeliveries(folder: Path) -> int:
    """Deliveries that the store knew already, and those that the broker called redelivered."""
    lines = [line.split() for line in (folder / "batches").read_text().splitlines()]
    return sum(
        int(deliveries) - int(new) + int(redelivered)
        for deliveries, new, redelivered in (line for line in lines if len(line) == 3)
    )


def _publish_evenly(broker: RunningBroker, over_s: float) -> None:
    """5,000 QoS 1 messages spread over a time; returns when the broker has them all."""
    client = Client(CallbackAPIVersion.VERSION2, client_id="sender")
    client.connect("127.0.0.1", broker.port)
    client.loop_start()
    begun = time.monotonic()
    sent = []
    for number in range(MESSAGES):
        sent.append(client.publish("shed/x", str(number), qos=1))
        time.sleep(max(0.0, begun + over_s * number / MESSAGES - time.monotonic()))
    for message in sent:
        message.wait_for_publish(20)
    client.disconnect()
    client.loop_stop()


@pytest.mark.parametrize("seed", [1, 2])
def test_nothing_is_missing_or_doubled_after_kills_at_random_points(
    tmp_path: Path, seed: int
) -> None:
    chance = random.Random(seed)
    with running_broker(tmp_path / "broker") as broker:
        consumer = _consume(broker, tmp_path)
        try:
            wait_until(lambda: "Sending SUBACK to consumer" in broker.log())
            sender = threading.Thread(target=_publish_evenly, args=(broker, 6.0))
            sender.start()
            for _ in range(KILLS):
                connects = broker.log().count("Sending CONNACK to consumer")
                time.sleep(chance.uniform(0.05, 0.6))
                consumer.kill()
                consumer.wait()
                consumer = _consume(broker, tmp_path)
                wait_until(
                    lambda before=connects: (  # type: ignore[misc]
                        broker.log().count("Sending CONNACK to consumer") > before
                    )
                )
            sender.join()
            wait_until(lambda: len(_stored(tmp_path)) >= MESSAGES, within=15)
        finally:
            consumer.kill()
            consumer.wait()
    assert _stored(tmp_path) == [float(number) for number in range(MESSAGES)]
    assert _redeliveries(tmp_path) > 0, "no kill met an unacknowledged message"
