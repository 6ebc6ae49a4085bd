"""How long it takes to say a season of nine cages, and a day of scales at 1 Hz.

    .venv/bin/python -m tests.benchmarks.season_of_messages [DAYS]

Minutes for air in nine boxes, shed and outdoors, and nine scales, from truth to a finished
recording; the truth itself is made by hand here and costs nothing, so this is the senders'
share alone. Bars: a season of 150 days at 0.1 Hz in 8 minutes, a day at 1 Hz in 8 seconds, on
two cores. Nothing here fails: it measures.
"""

import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from datetime import timedelta
from pathlib import Path

from simulated_feeds.day import NestDay, ShedDay, Stay, Who
from simulated_feeds.records.replay_file import write_feed
from simulated_feeds.senders.parameters import Sender, SenderKind, Where
from simulated_feeds.stream import messages
from tests.simulated_feeds.hand_made_days import even, smooth_days

BOXES = tuple(f"box-{n}" for n in range(1, 10))
MINUTE = timedelta(minutes=1)


def senders(interval: timedelta, samples: int) -> Sequence[Sender]:
    """Air everywhere every minute, and a scale under each box."""
    kind = SenderKind.AIR
    return (
        Sender(device="th-shed", place="shed", where=Where.SHED, kind=kind, interval=MINUTE),
        Sender(device="th-out", place="outdoors", where=Where.OUTDOORS, kind=kind, interval=MINUTE),
        *(
            Sender(device=f"th-{box}", place=box, where=Where.BOX, kind=kind, interval=MINUTE)
            for box in BOXES
        ),
        *(
            Sender(
                device=f"scale-{box}",
                place=box,
                where=Where.BOX,
                kind=SenderKind.SCALE,
                interval=interval,
                samples_per_message=samples,
            )
            for box in BOXES
        ),
    )


def days(count: int) -> Iterator[ShedDay]:
    """Days on which every hen comes and goes twenty times."""
    for day in smooth_days(count, BOXES):
        stays = tuple(
            Stay(
                who=Who.HEN,
                since=day.air.at + timedelta(hours=n),
                until=day.air.at + timedelta(hours=n, minutes=50),
            )
            for n in range(20)
        )
        nests = tuple(
            NestDay(at=day.air.at, box=box, hen_g=48.0, bedding_g=even(100.0), stays=stays)
            for box in BOXES
        )
        yield ShedDay(air=day.air, nests=nests)


def recorded(count: int, interval: timedelta, samples: int) -> str:
    """What a recording of some days cost, in words."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "feed.jsonl.gz"
        begun = time.perf_counter()
        told = write_feed(file, messages(days(count), senders(interval, samples), seed=1))
        took = time.perf_counter() - begun
        size = file.stat().st_size / 1e6
    return (
        f"{count:4} days, a sample in {interval.total_seconds():4g} s, {samples:3} in a message: "
        f"{took:6.1f} s, {took / count:5.2f} s a day, {told:9,} messages, {size:6.1f} MB"
    )


def main() -> None:
    """Measure and print."""
    season = int(sys.argv[1]) if len(sys.argv) > 1 else 150
    print(recorded(season, timedelta(seconds=10), 6))
    print(recorded(1, timedelta(seconds=1), 10))
    print(recorded(1, timedelta(seconds=1), 1))
    print(recorded(1, timedelta(milliseconds=100), 100))


if __name__ == "__main__":
    main()
