"""Two writers as watch and pages are: readings and requests, many a second. Run by a test.

    python committing.py FOLDER READINGS_A_SECOND

First come 200,000 readings of another sensor, so that a copy takes many steps. Then it commits
reading n with the value n. The file ``committed`` holds two numbers, renewed after
each commit: how many readings and how many requests are safe.
"""

import os
import sys
import threading
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from devices.reading import Quantity, Reading
from service.quality.flag import Flag, Judged
from service.store.alarm_store import RequestKind
from service.store.reading_store import Batch
from service.store.sql_records import open_records
from service.store.sqlite_readings import SqliteReadings

MANY = 200_000
START = datetime(2026, 3, 1, tzinfo=UTC)


def judged(number: int, device: str = "th-shed") -> Judged:
    at = START + timedelta(seconds=number)
    reading = Reading(
        device=device,
        place="shed",
        quantity=Quantity.TEMPERATURE,
        value=float(number),
        measured_at=at,
        received_at=at,
    )
    return Judged(reading=reading, flag=Flag.PASS)


class Committed:
    """Numbers in a file, replaced at once."""

    def __init__(self, file: Path) -> None:
        self._file = os.open(file, os.O_CREAT | os.O_RDWR)
        self._lock = threading.Lock()
        self._numbers = [0, 0]

    def count(self, which: int) -> None:
        with self._lock:
            self._numbers[which] += 1
            os.pwrite(self._file, f"{self._numbers[0]:10d}{self._numbers[1]:10d}".encode(), 0)


def ask_now_and_then(folder: Path, committed: Committed) -> None:
    records = open_records("sqlite:///records.db", folder)
    while True:
        records.requests.ask(RequestKind.LISTEN_ROUND, "", by=None, at=START)
        committed.count(1)
        time.sleep(0.03)


def main() -> None:
    folder, pause_s = Path(sys.argv[1]), 1 / float(sys.argv[2])
    store = SqliteReadings(folder / "readings.db", writer=True)
    for since in range(0, MANY, 10_000):
        store.commit(Batch(judged=[judged(n, "th-old") for n in range(since, since + 10_000)]))
    committed = Committed(folder / "committed")
    threading.Thread(target=ask_now_and_then, args=(folder, committed), daemon=True).start()
    number, due = 0, time.monotonic()
    while True:
        store.commit(Batch(judged=[judged(number)]))
        number += 1
        committed.count(0)
        due += pause_s
        time.sleep(max(0.0, due - time.monotonic()))


if __name__ == "__main__":
    main()
