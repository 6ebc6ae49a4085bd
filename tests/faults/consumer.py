"""A consumer that is killed: listens, stores readings, acknowledges. Run by the tests.

    python consumer.py PORT FOLDER

A message's payload is a number n: the reading n of the second n. Beside ``readings.db`` the
file ``batches`` has a line for each commit: deliveries, new readings, and how many of the
deliveries the broker called redelivered.
"""

import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from devices.reading import Quantity, Reading
from service.clock import SystemClock
from service.intake.batcher import Batcher
from service.intake.broker_address import BrokerAddress
from service.intake.delivery import Delivery
from service.intake.mqtt_listener import MqttListener
from service.quality.flag import Flag, Judged
from service.store.reading_store import Batch
from service.store.sqlite_readings import SqliteReadings

START = datetime(2026, 3, 1, tzinfo=UTC)


def judged(delivery: Delivery) -> Judged:
    value = float(delivery.message.payload)
    reading = Reading(
        device="th-shed",
        place="shed",
        quantity=Quantity.TEMPERATURE,
        value=value,
        measured_at=START + timedelta(seconds=value),
        received_at=delivery.message.received_at,
    )
    return Judged(reading=reading, flag=Flag.PASS)


def main() -> None:
    folder = Path(sys.argv[2])
    store = SqliteReadings(folder / "readings.db", writer=True)
    listener = MqttListener(
        BrokerAddress(port=int(sys.argv[1])), "consumer", ["shed/#"], clock=SystemClock()
    )
    batcher = Batcher(close_after_s=0.15, close_at_count=100)
    listener.start()
    with (folder / "batches").open("a") as batches:
        while True:
            now = time.monotonic()
            batcher.add(listener.take(batcher.seconds_left(now)), now)
            if not batcher.is_due(time.monotonic(), listener.window):
                continue
            batch = batcher.close()
            new = store.commit(Batch(judged=[judged(delivery) for delivery in batch]))
            redelivered = sum(delivery.redelivered for delivery in batch)
            batches.write(f"{len(batch)} {new} {redelivered}\n")
            batches.flush()
            listener.acknowledge(batch)


main()
