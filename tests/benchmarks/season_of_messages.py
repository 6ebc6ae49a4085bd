"""How long it takes to record a season of nine cages, and a day of scales at 1 Hz.

    .venv/bin/python -m tests.benchmarks.season_of_messages [DAYS]

Minutes for air in nine boxes, shed and outdoors, and nine scales: weather, walls, birds and
senders, from nothing to a finished recording. Bars: a season of 150 days at 0.1 Hz in 8
minutes, a day at 1 Hz in 8 seconds, on two cores. Nothing here fails: it measures.
"""

import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from simulated_feeds.birds.aviary import Aviary
from simulated_feeds.birds.pair import pairs_for
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.building.building import Building
from simulated_feeds.building.parameters import BuildingParameters
from simulated_feeds.day import DAY, ShedDay
from simulated_feeds.lamps.lamps import Lamps
from simulated_feeds.lamps.parameters import LampParameters
from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.outdoors.weather import Weather
from simulated_feeds.records.replay_file import write_feed
from simulated_feeds.senders.parameters import Sender, SenderKind, Where
from simulated_feeds.stream import messages

BOXES = tuple(f"box-{n}" for n in range(1, 10))
MINUTE = timedelta(minutes=1)
START = datetime(2026, 2, 1, tzinfo=UTC)
SEED = 1


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
    """A shed in spring, with nine pairs that are put up on its third day."""
    zone = ZoneInfo("Europe/Amsterdam")
    weather = Weather(WeatherParameters(), SEED, ())
    building = Building(BuildingParameters(), Lamps(LampParameters(), zone, ()), ())
    pairs = pairs_for(BOXES, START.date() + timedelta(days=2), seed=SEED)
    aviary = Aviary(BirdParameters(), pairs, seed=SEED, zone=zone, boxes=BOXES)
    for number in range(count):
        at = START + number * DAY
        air = building.day(weather.day(at), aviary.plan(at))
        yield ShedDay(air=air, nests=aviary.live(air))


def recorded(count: int, interval: timedelta, samples: int) -> str:
    """What a recording of some days cost, in words."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "feed.jsonl.gz"
        begun, worked = time.perf_counter(), time.process_time()
        told = write_feed(file, messages(days(count), senders(interval, samples), seed=SEED))
        took, worked = time.perf_counter() - begun, time.process_time() - worked
        size = file.stat().st_size / 1e6
    return (
        f"{count:4} days, a sample in {interval.total_seconds():4g} s, {samples:3} in a message: "
        f"{took:6.1f} s ({worked:.1f} s of processors), {told:9,} messages, {size:6.1f} MB"
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
