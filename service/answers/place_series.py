"""One quantity at one place, through all the sensors that have told it there.

A sensor that is replaced leaves its readings behind: they go on to be the place's. The sensor
that stands there now comes first; one that stood there before tells only where the first was
silent for LONG_SILENCE or more. So two that told at the same time are never mixed reading by
reading.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from devices.reading import Quantity
from devices.sensor import Sensor
from service.climate.samples import Sample, samples
from service.store.reading_store import Bucket, Mean, ReadingStore, Series, StoredReading

LONG_SILENCE = timedelta(hours=1)

_Span = tuple[datetime, datetime]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceSeries:
    """``leading`` is that of the sensor that stands there now, or of the last one that did;
    ``before`` are those of earlier sensors, the newest of them first.
    """

    leading: Series
    before: tuple[Series, ...] = ()

    def window(
        self, store: ReadingStore, since: datetime, until: datetime
    ) -> Sequence[StoredReading]:
        """As ``ReadingStore.window``.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        found = list(store.window(self.leading.id, since, until))
        if earlier := self._earlier():
            told = [(one.measured_at, one.measured_at) for one in found]
            for start, stop in _silences(store, self.leading, told, since, until):
                # What begins a silence was told itself; nothing is told twice.
                at_edge = {at for at, _ in told}
                window = earlier.window(store, start, stop)
                found += [one for one in window if one.measured_at not in at_edge]
        return sorted(found, key=lambda one: one.measured_at)

    def samples(self, store: ReadingStore, since: datetime, until: datetime) -> list[Sample]:
        """As ``ReadingStore.samples``.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        if not self.before:
            return store.samples(self.leading.id, since, until)
        return samples(self.window(store, since, until))

    def first(self, store: ReadingStore, since: datetime, until: datetime) -> datetime | None:
        """As ``ReadingStore.first``; of whichever sensor told first.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        firsts = (store.first(one.id, since, until) for one in (self.leading, *self.before))
        return min((one for one in firsts if one is not None), default=None)

    def buckets(
        self,
        store: ReadingStore,
        since: datetime,
        until: datetime,
        *,
        width: timedelta,
        max_gap: timedelta,
    ) -> Sequence[Bucket]:
        """As ``ReadingStore.buckets``; each bucket is of one sensor.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        found = list(store.buckets(self.leading.id, since, until, width=width, max_gap=max_gap))
        if earlier := self._earlier():
            told = [(one.start, one.start + width) for one in found]
            for start, stop in _silences(store, self.leading, told, since, until):
                # Where a bucket begins depends on where the asking begins.
                first = since - (since - start) // width * width
                found += earlier.buckets(store, first, stop, width=width, max_gap=max_gap)
        return sorted(found, key=lambda one: one.start)

    def means(
        self, store: ReadingStore, since: datetime, until: datetime, *, width: timedelta
    ) -> Sequence[Mean]:
        """As ``ReadingStore.means``; each mean is of one sensor.

        Raises:
            StoreUnavailableError: the store can't be read now.
        """
        found = list(store.means(self.leading.id, since, until, width=width))
        if earlier := self._earlier():
            told = [(one.start, one.start + width) for one in found]
            for start, stop in _silences(store, self.leading, told, since, until):
                first = since - (since - start) // width * width
                found += earlier.means(store, first, stop, width=width)
        return sorted(found, key=lambda one: one.start)

    def _earlier(self) -> "PlaceSeries | None":
        if not self.before:
            return None
        return PlaceSeries(leading=self.before[0], before=self.before[1:])


def place_series(
    series: Sequence[Series], leading: Series, sensors: Sequence[Sensor]
) -> PlaceSeries:
    """``leading`` with what sensors that stand there no more have told of the same."""
    before = earlier_there(series, leading.place, leading.quantity, sensors)
    return PlaceSeries(leading=leading, before=tuple(one for one in before if one != leading))


def stands_there(series: Series, sensors: Sequence[Sensor]) -> bool:
    """Whether the sensor of a series is set up at its place now, and not elsewhere."""
    return any(
        sensor.device == series.device and sensor.place == series.place for sensor in sensors
    )


def earlier_there(
    series: Sequence[Series], place: str, quantity: Quantity, sensors: Sequence[Sensor]
) -> tuple[Series, ...]:
    """Those of sensors that stand there no more, the one that came last first."""
    gone = [
        one
        for one in series
        if one.place == place and one.quantity is quantity and not stands_there(one, sensors)
    ]
    return tuple(sorted(gone, key=lambda one: -one.id))


def _silences(
    store: ReadingStore, series: Series, told: Sequence[_Span], since: datetime, until: datetime
) -> Iterator[_Span]:
    """Long silences of a series, the part of each that lies in ``since`` to ``until``.

    The edges of what is asked for are no silence: it is looked at beyond them.
    """
    begin, end = since - LONG_SILENCE, until + LONG_SILENCE
    ahead = [(one.measured_at, one.measured_at) for one in store.window(series.id, begin, since)]
    after = [(one.measured_at, one.measured_at) for one in store.window(series.id, until, end)]
    last = begin
    for start, stop in (*ahead[-1:], *told, *after[:1], (end, end)):
        if start - last >= LONG_SILENCE and max(last, since) < min(start, until):
            yield max(last, since), min(start, until)
        last = max(last, stop)
