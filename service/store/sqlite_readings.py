"""Readings in one SQLite file: a row for each, keyed by series and time.

watch opens it as the writer, everyone else as readers. A reader of a file that is not there
yet sees an empty store, and the readings as soon as there are any.
"""

from bisect import bisect_left
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

from devices.reading import Quantity
from service.climate.samples import FlaggedSample, Sample
from service.quality.flag import Flag
from service.quality.judge import MAX_AHEAD
from service.store.milliseconds import first_ms_from, from_ms, span_ms
from service.store.reading_store import (
    Batch,
    Bucket,
    Covered,
    DeadLetter,
    Gap,
    Heard,
    Latest,
    Mean,
    Overheard,
    Series,
    StoredReading,
    Stranger,
)
from service.store.sqlite_batch import DROPPED, SeriesIds, write_batch
from service.store.sqlite_connections import Connections, ReaderConnections, WriterConnection

# What is stamped later than the last arrival is of a clock that ran ahead. The first bound
# lets the search skip it, the second leaves it out also when the time has almost come.
_LATEST = """
    SELECT s.id, s.device, s.place, s.quantity,
           r.measured_ms, r.received_ms, r.value, r.flag, r.reason
    FROM series AS s JOIN readings AS r ON r.series = s.id AND r.measured_ms = (
        SELECT measured_ms FROM readings
        WHERE series = s.id AND measured_ms <= s.arrived_ms + ?1 AND received_ms <= s.arrived_ms
        ORDER BY measured_ms DESC LIMIT 1
    )
    ORDER BY s.id
"""

# Each reading covers the time from itself to the next one, at most ``max_gap`` and at most to
# the end of its bucket; the first in a bucket also the part of it that the reading before
# still covers. Readings from before the window are read for that alone.
_BUCKETS = """
    WITH asked (since, until, width, gap) AS (VALUES (?1, ?2, ?3, ?4)),
    sound AS (
        SELECT measured_ms AS t, value,
               lag(measured_ms) OVER (ORDER BY measured_ms) AS before,
               lead(measured_ms) OVER (ORDER BY measured_ms) AS after
        FROM readings, asked
        WHERE series = ?5 AND flag != ?6
          AND measured_ms >= since - gap AND measured_ms < until
    ),
    placed AS (
        SELECT t, value, before, after, gap, (t - since) / width AS number,
               since + (t - since) / width * width AS first,
               min(since + ((t - since) / width + 1) * width, until) AS last
        FROM sound, asked WHERE t >= since
    )
    SELECT first, min(value), avg(value), max(value), count(*),
           sum(min(coalesce(after, last), t + gap, last) - t
               + CASE WHEN before < first THEN max(0, min(t, before + gap) - first) ELSE 0 END)
    FROM placed GROUP BY number ORDER BY number
"""

# Without the windows that tell what a bucket covers: a tenth of the time.
_MEANS = """
    SELECT ?1 + (measured_ms - ?1) / ?3 * ?3 AS first, avg(value) FROM readings
    WHERE series = ?4 AND flag != ?5 AND measured_ms >= ?1 AND measured_ms < ?2
    GROUP BY first ORDER BY first
"""

_FIRST = "SELECT min(measured_ms) FROM readings WHERE series = ? AND measured_ms < ?"

_TIMES = """
    SELECT measured_ms FROM readings
    WHERE series = ? AND flag != ? AND measured_ms >= ? AND measured_ms < ?
    ORDER BY measured_ms
"""

_LETTER = "topic, payload, reason, at_ms, count, retained"

_NO_BOUND = -1
"""SQLite's LIMIT for all rows."""


class SqliteReadings:
    """A ReadingStore in one file.

    The writer may be used by any thread, one at a time; a reader by many at once.
    """

    def __init__(self, file: Path, *, writer: bool) -> None:
        """Open it; the writer makes the file and brings its layout up to date.

        Raises:
            StoreUnavailableError: the file can't be made or is no database.
            InputError: a newer version has written it. A reader says both when it reads.
        """
        self._writer = WriterConnection(file) if writer else None
        self._connections: Connections = self._writer or ReaderConnections(file)
        self._ids = SeriesIds()

    def commit(self, batch: Batch) -> int:
        if self._writer is None:
            raise TypeError("this store was opened for reading")
        try:
            with self._writer.transaction() as db:
                return write_batch(db, self._ids, batch)
        except BaseException:
            self._ids.forget()
            raise

    def series(self) -> Sequence[Series]:
        rows = self._rows("SELECT id, device, place, quantity FROM series ORDER BY id")
        return [_series(row) for row in rows]

    def latest(self) -> Sequence[Latest]:
        return [
            Latest(
                series=_series(row),
                measured_at=from_ms(measured),
                received_at=from_ms(received),
                value=value,
                flag=Flag(flag),
                reason=reason,
            )
            for *row, measured, received, value, flag, reason in self._rows(
                _LATEST, (span_ms(MAX_AHEAD),)
            )
        ]

    def window(self, series_id: int, since: datetime, until: datetime) -> Sequence[StoredReading]:
        rows = self._rows(
            "SELECT measured_ms, value, flag, raw FROM readings "
            "WHERE series = ? AND measured_ms >= ? AND measured_ms < ? ORDER BY measured_ms",
            (series_id, first_ms_from(since), first_ms_from(until)),
        )
        return [
            StoredReading(measured_at=from_ms(measured), value=value, flag=Flag(flag), raw=raw)
            for measured, value, flag, raw in rows
        ]

    def samples(self, series_id: int, since: datetime, until: datetime) -> list[Sample]:
        return self._rows(
            "SELECT measured_ms, value FROM readings WHERE series = ? "
            "AND measured_ms >= ? AND measured_ms < ? AND flag NOT IN (?, ?) "
            "ORDER BY measured_ms",
            (
                series_id,
                first_ms_from(since),
                first_ms_from(until),
                int(Flag.FAIL),
                int(Flag.MISSING),
            ),
        )

    def flagged_samples(
        self, series_id: int, since: datetime, until: datetime
    ) -> list[FlaggedSample]:
        return self._rows(
            "SELECT measured_ms, value, flag FROM readings "
            "WHERE series = ? AND measured_ms >= ? AND measured_ms < ? ORDER BY measured_ms",
            (series_id, first_ms_from(since), first_ms_from(until)),
        )

    def first(self, series_id: int, since: datetime, until: datetime) -> datetime | None:
        rows = self._rows(
            "SELECT min(measured_ms) FROM readings "
            "WHERE series = ? AND measured_ms >= ? AND measured_ms < ?",
            (series_id, first_ms_from(since), first_ms_from(until)),
        )
        return None if not rows or rows[0][0] is None else from_ms(rows[0][0])

    def buckets(
        self,
        series_id: int,
        since: datetime,
        until: datetime,
        *,
        width: timedelta,
        max_gap: timedelta,
    ) -> Sequence[Bucket]:
        width_ms = span_ms(width)
        if width_ms <= 0:
            raise ValueError(f"buckets of {width} have no width")
        rows = self._rows(
            _BUCKETS,
            (
                first_ms_from(since),
                first_ms_from(until),
                width_ms,
                span_ms(max_gap),
                series_id,
                int(Flag.FAIL),
            ),
        )
        return [
            Bucket(
                start=from_ms(first),
                minimum=low,
                mean=mean,
                maximum=high,
                count=count,
                coverage=covered / width_ms,
            )
            for first, low, mean, high, count, covered in rows
        ]

    def means(
        self, series_id: int, since: datetime, until: datetime, *, width: timedelta
    ) -> Sequence[Mean]:
        width_ms = span_ms(width)
        if width_ms <= 0:
            raise ValueError(f"buckets of {width} have no width")
        rows = self._rows(
            _MEANS,
            (
                first_ms_from(since),
                first_ms_from(until),
                width_ms,
                series_id,
                int(Flag.FAIL),
            ),
        )
        return [Mean(start=from_ms(first), mean=mean) for first, mean in rows]

    def covered(
        self, series_id: int, since: datetime, until: datetime, *, max_gap: timedelta
    ) -> Covered | None:
        start, end, gap = first_ms_from(since), first_ms_from(until), span_ms(max_gap)
        first = self._rows(_FIRST, (series_id, end))
        if not first or first[0][0] is None:
            return None
        # Summed here: that takes a third of the time of a window function.
        rows = self._rows(_TIMES, (series_id, int(Flag.FAIL), start - gap, end))
        times = [at for (at,) in rows]
        covered = sum(min(after - at, gap) for at, after in pairwise([*times, end]))
        inside = bisect_left(times, start)
        # What was read before the window covers only what lies in it.
        for at, after in pairwise([*times, end][: inside + 1]):
            covered -= min(gap, start - at, after - at)
        return Covered(
            since=from_ms(max(start, first[0][0])), length=timedelta(milliseconds=covered)
        )

    def reasons(
        self, series_id: int, since: datetime, until: datetime
    ) -> Sequence[tuple[str, int]]:
        return self._rows(
            "SELECT reason, count(*) FROM readings "
            "WHERE series = ? AND measured_ms >= ? AND measured_ms < ? AND flag != ? "
            "AND reason != '' GROUP BY reason ORDER BY reason",
            (series_id, first_ms_from(since), first_ms_from(until), int(Flag.PASS)),
        )

    def deadlines(self) -> Sequence[Heard]:
        rows = self._rows("SELECT device, at_ms, deadline_ms FROM deadlines ORDER BY device")
        return [
            Heard(device=device, at=from_ms(at), deadline=from_ms(deadline))
            for device, at, deadline in rows
        ]

    def dead_letters(self, most: int | None = None) -> Sequence[DeadLetter]:
        rows = self._rows(
            f"SELECT {_LETTER} FROM dead_letters ORDER BY at_ms DESC, id DESC LIMIT ?",  # noqa: S608 - no word of anybody else
            (_NO_BOUND if most is None else most,),
        )
        return [_letter(row) for row in rows]

    def dead_letters_of(self, topic: str, *, skip: int, most: int) -> Sequence[DeadLetter]:
        rows = self._rows(
            f"SELECT {_LETTER} FROM dead_letters WHERE topic = ? "  # noqa: S608 - as above
            "ORDER BY at_ms, id LIMIT ? OFFSET ?",
            (topic, most, skip),
        )
        return [_letter(row) for row in rows]

    def dead_letters_kept(self) -> int:
        rows = self._rows("SELECT count(*) FROM dead_letters")
        return int(rows[0][0]) if rows else 0

    def dead_letters_dropped(self) -> int:
        rows = self._rows("SELECT value FROM counters WHERE name = ?", (DROPPED,))
        return int(rows[0][0]) if rows else 0

    def strangers(self) -> Sequence[Stranger]:
        rows = self._rows(
            "SELECT device, measure, topic, value, unit, at_ms, count FROM strangers "
            "ORDER BY at_ms DESC, device, measure"
        )
        return [
            Stranger(
                device=device,
                measure=measure,
                topic=topic,
                value=value,
                unit=unit,
                at=from_ms(at),
                count=count,
            )
            for device, measure, topic, value, unit, at, count in rows
        ]

    def overheard(self) -> Sequence[Overheard]:
        rows = self._rows(
            "SELECT topic, payload, reason, at_ms, count FROM overheard ORDER BY at_ms DESC, topic"
        )
        return [
            Overheard(topic=topic, payload=payload, reason=reason, at=from_ms(at), count=count)
            for topic, payload, reason, at, count in rows
        ]

    def gaps(self) -> Sequence[Gap]:
        rows = self._rows("SELECT at_ms, reason FROM gaps ORDER BY at_ms DESC, reason")
        return [Gap(at=from_ms(at), reason=reason) for at, reason in rows]

    def close(self) -> None:
        self._connections.close()

    def _rows(self, question: str, values: Sequence[object] = ()) -> list[Any]:
        with self._connections.lend() as db:
            return [] if db is None else db.execute(question, values).fetchall()


def _series(row: Sequence[Any]) -> Series:
    series_id, device, place, quantity = row
    return Series(id=series_id, device=device, place=place, quantity=Quantity(quantity))


def _letter(row: Sequence[Any]) -> DeadLetter:
    topic, payload, reason, at, count, retained = row
    return DeadLetter(
        topic=topic,
        payload=payload,
        reason=reason,
        at=from_ms(at),
        count=count,
        retained=bool(retained),
    )
