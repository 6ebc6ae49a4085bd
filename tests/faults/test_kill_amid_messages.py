"""SIGKILL at random points, with messages in flight: nothing missing, nothing doubled."""

import random
import sqlite3
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path

import pytest
from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion

from tests.broker_fixture import RunningBroker, running_broker
from tests.listening import wait_until

pytestmark = [pytest.mark.broker, pytest.mark.faults]

CONSUMER = Path(__file__).with_name("consumer.py")
ROOT = Path(__file__).parents[2]
MESSAGES = 5000
KILLS = 6


def _consume(broker: RunningBroker, file: Path) -> "subprocess.Popen[bytes]":
    return subprocess.Popen(
        [sys.executable, str(CONSUMER), str(broker.port), str(file)],
        cwd=ROOT,
        env={"PYTHONPATH": str(ROOT)},
    )


def _counts(file: Path) -> tuple[int, int, int]:
    """Distinct readings, stored deliveries, and those marked as redelivered."""
    with closing(sqlite3.connect(file)) as store:
        (distinct,) = store.execute("SELECT count(*) FROM reading").fetchone()
        deliveries, redelivered = store.execute(
            "SELECT coalesce(sum(deliveries), 0), coalesce(sum(redelivered), 0) FROM batch"
        ).fetchone()
    return distinct, deliveries, redelivered


def _is_waiting(broker: RunningBroker, file: Path) -> bool:
    subscribed = broker.log().count("Sending SUBACK to consumer") > 0
    return subscribed and file.exists()


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
    file = tmp_path / "readings.db"
    with running_broker(tmp_path / "broker") as broker:
        consumer = _consume(broker, file)
        try:
            wait_until(lambda: _is_waiting(broker, file))
            sender = threading.Thread(target=_publish_evenly, args=(broker, 6.0))
            sender.start()
            for _ in range(KILLS):
                connects = broker.log().count("Sending CONNACK to consumer")
                time.sleep(chance.uniform(0.05, 0.6))
                consumer.kill()
                consumer.wait()
                consumer = _consume(broker, file)
                wait_until(
                    lambda before=connects: (  # type: ignore[misc]
                        broker.log().count("Sending CONNACK to consumer") > before
                    )
                )
            sender.join()
            wait_until(lambda: _counts(file)[0] == MESSAGES, within=15)
        finally:
            consumer.kill()
            consumer.wait()
    with closing(sqlite3.connect(file)) as store:
        stored = {int(payload) for (payload,) in store.execute("SELECT payload FROM reading")}
    assert stored == set(range(MESSAGES))
    distinct, deliveries, redelivered = _counts(file)
    assert distinct == MESSAGES
    assert redelivered > 0 or deliveries > distinct, "no kill met an unacknowledged message"
