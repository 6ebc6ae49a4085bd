"""Stored readings of several series, merged as they were measured, to take a path up with."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from heapq import merge

from devices.reading import Quantity, Reading
from devices.sensor import Sensor
from service.quality.flag import Judged
from service.store.reading_store import ReadingStore, Series

_AHEAD = timedelta(minutes=1)


def stored_readings(
    store: ReadingStore,
    sensors: dict[str, Sensor],
    wanted: frozenset[tuple[str, Quantity]],
    since: datetime,
    now: datetime,
) -> Iterator[Judged]:
    """Readings of the wanted places and quantities, of sensors that stand there, oldest first.

    Why one was doubted is not told: the store keeps it elsewhere.
    """
    return merge(
        *(
            _of(store, series, since, now)
            for series in store.series()
            if (series.place, series.quantity) in wanted
            and (sensor := sensors.get(series.device)) is not None
            and sensor.place == series.place
        ),
        key=lambda judged: judged.reading.measured_at,
    )


def _of(store: ReadingStore, series: Series, since: datetime, now: datetime) -> Iterator[Judged]:
    for stored in store.window(series.id, since, now + _AHEAD):
        at = stored.measured_at.astimezone(UTC)
        yield Judged(
            reading=Reading(
                device=series.device,
                place=series.place,
                quantity=series.quantity,
                value=stored.value,
                measured_at=at,
                received_at=at,
                raw=stored.raw,
            ),
            flag=stored.flag,
        )
