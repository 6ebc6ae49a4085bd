"""A shed whose nights are known to the last decimal: warm by day, and falling from dusk to dawn."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from devices.reading import Quantity, Reading
from service.quality.flag import Flag, Judged
from service.store.reading_store import Batch
from tests.service.shed_in_a_folder import Shed

CONFIGURATION = """
[shed]
latitude = 53.2
longitude = 6.6
timezone = "Europe/Amsterdam"
[[place]]
id = "shed"
kind = "shed"
[[sensor]]
device = "th-shed"
place = "shed"
interval = "5 min"
[light]
on = "06:30"
off = "20:30"
[[limit]]
id = "cold-night"
place = "shed"
quantity = "temperature"
when = "night"
low = 5.0
priority = "high"
"""

NOON = datetime(2026, 2, 1, 11, tzinfo=UTC)
"""Of the first day, by the shed's clock."""

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)
STEP = timedelta(minutes=5)


def low_of(day: int) -> float:
    """The lowest of the night after the ``day``-th noon [°C]: colder by turns."""
    return 8.0 - 0.5 * (day % 7)


def warmth(at: datetime) -> float:
    """Steady by day; from 20:30 it falls by one line to its lowest at 06:30."""
    day = (at - NOON) // DAY
    into = at - NOON - day * DAY - timedelta(hours=8.5)
    if not timedelta(0) <= into < timedelta(hours=10):
        return 15.0
    return 15.0 - (15.0 - low_of(day)) * (into / timedelta(hours=10))


def told(
    since: datetime, until: datetime, flag: Flag = Flag.PASS, reason: str = "told so"
) -> Iterator[Judged]:
    """One reading every five minutes."""
    at = since
    while at < until:
        yield Judged(
            reading=Reading(
                device="th-shed",
                place="shed",
                quantity=Quantity.TEMPERATURE,
                value=warmth(at),
                measured_at=at,
                received_at=at,
            ),
            flag=flag,
            reason="" if flag is Flag.PASS else reason,
        )
        at += STEP


def keep(shed: Shed, judged: Iterable[Judged]) -> None:
    shed.stores.readings.commit(Batch(judged=list(judged), recorded=True))


@contextmanager
def shed_of(data: Path) -> Iterator[Shed]:
    shed = Shed(data, CONFIGURATION)
    try:
        yield shed
    finally:
        shed.stores.close()
