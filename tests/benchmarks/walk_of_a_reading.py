"""What each step of the walk of a reading costs, as shares of one run.

    .venv/bin/python -m tests.benchmarks.walk_of_a_reading

The same messages go through ever more of the walk: decoded; placed and judged; stored, a
synced commit for every 200; and the whole walk with its rules. Shares carry over to other
machines, microseconds do not. Nothing here fails: it measures.
"""

import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from devices.formats.senml import pack
from devices.message import Message
from devices.reading import Reading
from service.quality.judging import Judge
from service.quality.placement import Placement
from service.store.reading_store import Batch
from service.wiring import decoder
from tests.service.shed_in_a_folder import Shed

MESSAGES = 20_000
BATCH = 200
START = datetime(2026, 3, 1, tzinfo=UTC)


def messages() -> list[Message]:
    """A shed's sensor over two weeks of minutes, two quantities a message."""
    found = []
    for n in range(MESSAGES):
        at = START + n * timedelta(minutes=1)
        measured = {"temperature": (8 + n % 7, "Cel"), "relative_humidity": (60 + n % 9, "%RH")}
        found.append(
            Message(
                topic="clutchweather/th-shed/senml",
                payload=pack("th-shed", measured, at),
                received_at=at,
            )
        )
    return found


def seconds(step: Callable[[Sequence[Message]], object], sent: Sequence[Message]) -> float:
    """Real time for all messages, batch by batch."""
    begun = time.perf_counter()
    for first in range(0, len(sent), BATCH):
        step(sent[first : first + BATCH])
    return time.perf_counter() - begun


def main() -> None:
    """Measure and print."""
    sent = messages()
    with tempfile.TemporaryDirectory() as folder:
        shed = Shed(Path(folder) / "whole")
        other = Shed(Path(folder) / "stored")
        shed.path.restore(START)
        decode = decoder(shed.settings)
        placement = Placement(shed.settings.sensors)

        def judged(judge: Judge, batch: Sequence[Message]) -> Batch:
            placed = [
                placement.place(measurement, message)
                for message in batch
                for measurement in decode(message).measurements
            ]
            readings = [one for one in placed if isinstance(one, Reading)]
            return Batch(judged=[judge.judge(one) for one in readings])

        # Each step its own: what one has heard before it judges in no time.
        first, second = Judge(shed.settings.sensors), Judge(shed.settings.sensors)
        costs = {
            "decoded": seconds(lambda batch: [decode(one) for one in batch], sent),
            "placed and judged": seconds(lambda batch: judged(first, batch), sent),
            "stored": seconds(
                lambda batch: other.stores.readings.commit(judged(second, batch)), sent
            ),
            "the whole walk": seconds(
                lambda batch: shed.path.walk(batch, stored=lambda: None), sent
            ),
        }
        shed.stores.close()
        other.stores.close()
    whole = costs["the whole walk"]
    for name, cost in costs.items():
        print(f"{name:18} {1e6 * cost / MESSAGES:7.1f} us a message {cost / whole:6.2f}")
    print(f"{2 * MESSAGES / whole:,.0f} readings a second through the whole walk")


if __name__ == "__main__":
    main()
