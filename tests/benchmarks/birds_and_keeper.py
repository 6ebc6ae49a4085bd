"""How long nine boxes take: their birds, and the keeper who looks into them.

    .venv/bin/python -m tests.benchmarks.birds_and_keeper [DAYS]

Plan and life of a day for nine boxes in air that is given; then the book. Bar: 20 ms a day.
Nothing here fails: it measures.
"""

import sys
import time

from simulated_feeds.birds.aviary import Aviary
from simulated_feeds.birds.pair import pairs_for
from simulated_feeds.birds.parameters import BirdParameters
from simulated_feeds.day import DAY
from simulated_feeds.keeper.book import book_of
from tests.simulated_feeds.birds.invented_air import BOXES, ZONE, varied_air
from tests.simulated_feeds.birds.lived_seasons import FIRST_DAY, PUT_UP


def main(days: int) -> None:
    pairs = pairs_for(BOXES, PUT_UP, seed=1)
    aviary = Aviary(BirdParameters(), pairs, seed=1, zone=ZONE)
    airs = [varied_air(FIRST_DAY + n * DAY, BOXES, 1) for n in range(days)]
    began, cpu = time.perf_counter(), time.process_time()
    for air in airs:
        aviary.plan(air.at)
        aviary.live(air)
    wall, cpu = time.perf_counter() - began, time.process_time() - cpu
    print(f"{days} days, nine boxes: {1000 * cpu / days:.1f} ms CPU a day, {wall:.1f} s in all")
    began = time.perf_counter()
    book = book_of(aviary.looks(), pairs, aviary.truths(), seed=1)
    print(f"a book of {len(book.checks)} looks: {time.perf_counter() - began:.2f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 150)
