"""All readings between two instants: the answer to ``readings``."""

from collections.abc import Iterator
from datetime import datetime

from typing_extensions import TypedDict

from service.answers.telling import finite, rfc3339
from service.store.reading_store import ReadingStore, Series, StoredReading


class ReadingAnswer(TypedDict):
    """``series`` is the store's number of the series."""

    series: int
    place: str
    quantity: str
    unit: str
    t: str
    value: float | None
    flag: int


def readings(store: ReadingStore, since: datetime, until: datetime) -> list[ReadingAnswer]:
    """Readings with ``since <= t < until``, series by series, oldest first.

    Flagged ones are included.

    Raises:
        StoreUnavailableError: the store can't be read now.
    """
    return list(iter_readings(store, since, until))


def iter_readings(store: ReadingStore, since: datetime, until: datetime) -> Iterator[ReadingAnswer]:
    """The same one by one, for long stretches."""
    for series in store.series():
        for reading in store.window(series.id, since, until):
            yield _told(series, reading)


def _told(series: Series, reading: StoredReading) -> ReadingAnswer:
    return ReadingAnswer(
        series=series.id,
        place=series.place,
        quantity=series.quantity.value,
        unit=series.quantity.unit,
        t=rfc3339(reading.measured_at),
        value=finite(reading.value),
        flag=int(reading.flag),
    )
