"""A consumer that is killed: listens, stores in SQLite, acknowledges. Run by the tests.

    python consumer.py PORT FILE

Beside each distinct payload it counts, in the same commit, how many deliveries it stored and
how many of them the broker called redelivered.
"""

import sqlite3
import sys
import time

from service.clock import SystemClock
from service.intake.batcher import Batcher
from service.intake.broker_address import BrokerAddress
from service.intake.mqtt_listener import MqttListener


def main() -> None:
    store = sqlite3.connect(sys.argv[2])
    store.execute("PRAGMA journal_mode=WAL")
    store.execute("PRAGMA synchronous=FULL")
    store.execute("CREATE TABLE IF NOT EXISTS reading (payload TEXT PRIMARY KEY) STRICT")
    store.execute("CREATE TABLE IF NOT EXISTS batch (deliveries INT, redelivered INT) STRICT")
    listener = MqttListener(
        BrokerAddress(port=int(sys.argv[1])), "consumer", ["shed/#"], clock=SystemClock()
    )
    batcher = Batcher(close_after_s=0.15, close_at_count=100)
    listener.start()
    while True:
        now = time.monotonic()
        batcher.add(listener.take(batcher.seconds_left(now)), now)
        if not batcher.is_due(time.monotonic(), listener.window):
            continue
        batch = batcher.close()
        with store:
            store.executemany(
                "INSERT OR IGNORE INTO reading VALUES (?)",
                [(delivery.message.payload.decode(),) for delivery in batch],
            )
            store.execute(
                "INSERT INTO batch VALUES (?, ?)",
                (len(batch), sum(delivery.redelivered for delivery in batch)),
            )
        listener.acknowledge(batch)


main()
