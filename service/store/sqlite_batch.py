"""Writes one batch into readings.db. The caller holds the transaction.

Writing the same batch again changes nothing, counts included: a count grows only with a
message that arrived after the last one counted.
"""

import hashlib
import json
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta

from devices.reading import Reading
from service.quality.flag import Judged
from service.store.milliseconds import span_ms, to_ms
from service.store.reading_store import Batch, DeadLetter, Gap, Heard, Overheard, Stranger

MAX_DEAD_LETTERS = 10_000
MAX_STRANGE_SENDERS = 200
MAX_OVERHEARD = 200
# A sender that makes up names for ever must not fill the card.
MAX_MEASURES_OF_A_STRANGER = 50
MAX_KEPT_PAYLOAD_BYTES = 64 * 1024
DROPPED = "dead letters dropped"

# How long after its first arrival a message may come again and be known by a stamp that is
# not believed: the time to start the watch or the broker again, and to connect. Beyond, it is
# taken for a reading of its own, as a clock that stands still stamps them all alike.
REDELIVERED_WITHIN = timedelta(minutes=2)
_SOON_MS = span_ms(REDELIVERED_WITHIN)


class SeriesIds:
    """Ids of series by device, place and quantity, remembered between batches."""

    def __init__(self) -> None:
        self._ids: dict[tuple[str, str, str], int] = {}

    def forget(self) -> None:
        """After a rollback: some may never have been stored."""
        self._ids.clear()

    def of(self, db: sqlite3.Connection, reading: Reading) -> int:
        """The id of the reading's series, made now if it is the first."""
        key = (reading.device, reading.place, reading.quantity.value)
        found = self._ids.get(key)
        if found is None:
            db.execute(
                "INSERT INTO series (device, place, quantity) VALUES (?, ?, ?) "
                "ON CONFLICT DO NOTHING",
                key,
            )
            row = db.execute(
                "SELECT id FROM series WHERE device = ? AND place = ? AND quantity = ?", key
            ).fetchone()
            found = self._ids[key] = int(row[0])
        return found


def write_batch(db: sqlite3.Connection, ids: SeriesIds, batch: Batch) -> int:
    """Write all of ``batch``; return how many of its readings were new."""
    _forget(db, batch)
    rows = [_row(ids.of(db, judged.reading), judged) for judged in batch.judged]
    new = [row for row in rows if db.execute(_INSERT, row).rowcount]
    _rejudge(db, ids, batch.rejudged)
    _note_arrivals(db, new, may_go_back=not batch.recorded)
    dead_letters = list(batch.dead_letters)
    if len(new) < len(rows):
        dead_letters += _conflicts(db, rows, batch.judged)
    if dead_letters:
        _write_dead_letters(db, dead_letters)
    if batch.strangers:
        _write_strangers(db, batch.strangers)
    _set_deadlines(db, batch.deadlines)
    _write_heard(db, batch.heard)
    _write_gaps(db, batch.gaps)
    if batch.overheard:
        _write_overheard(db, batch.overheard)
    return len(new)


def _forget(db: sqlite3.Connection, batch: Batch) -> None:
    db.executemany(
        "DELETE FROM dead_letters WHERE digest = ?",
        [(_digest(letter),) for letter in batch.understood_letters],
    )
    db.executemany(
        "DELETE FROM overheard WHERE topic = ?",
        [(_text(topic),) for topic in batch.understood_topics],
    )
    db.executemany(
        "DELETE FROM strangers WHERE device = ? AND measure = ?",
        [(_text(device), _text(measure)) for device, measure in batch.understood_strangers],
    )


_Row = tuple[int, int, int, int | None, float, int, str, float | None]


def _row(series: int, judged: Judged) -> _Row:
    reading = judged.reading
    return (
        series,
        to_ms(reading.measured_at),
        to_ms(reading.received_at),
        None if reading.stamped_at is None else to_ms(reading.stamped_at),
        float(reading.value),
        int(judged.flag),
        judged.reason,
        None if reading.raw is None else float(reading.raw),
    )


# A message again, whose stamp was not believed at one delivery at least: it agrees in stamp
# and in the value as it was sent, and came soon after. Written as its two halves, each of which
# has an index.
_CAME_AGAIN = f"""
    EXISTS (
        SELECT 1 FROM readings
        WHERE series = ?1 AND stamped_ms IS NOT NULL AND stamped_ms = coalesce(?4, ?2)
          AND received_ms > ?3 - {_SOON_MS} AND received_ms < ?3 + {_SOON_MS}
          AND coalesce(raw, value) = coalesce(?8, ?5)
    ) OR EXISTS (
        SELECT 1 FROM readings
        WHERE series = ?1 AND measured_ms = ?4 AND coalesce(raw, value) = coalesce(?8, ?5)
          AND received_ms > ?3 - {_SOON_MS} AND received_ms < ?3 + {_SOON_MS}
    )
"""  # noqa: S608 - a number of our own


_INSERT = f"""
    INSERT INTO readings (series, measured_ms, received_ms, stamped_ms, value, flag, reason, raw)
    SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8 WHERE NOT ({_CAME_AGAIN})
    ON CONFLICT DO NOTHING
"""


def _rejudge(db: sqlite3.Connection, ids: SeriesIds, rejudged: Iterable[Judged]) -> None:
    """Another value that has taken the same time was judged by itself, and keeps its flag."""
    db.executemany(
        "UPDATE readings SET flag = ?, reason = ? "
        "WHERE series = ? AND measured_ms = ? AND value = ?",
        [
            (
                int(one.flag),
                one.reason,
                ids.of(db, one.reading),
                to_ms(one.reading.measured_at),
                float(one.reading.value),
            )
            for one in rejudged
        ],
    )


def _note_arrivals(db: sqlite3.Connection, new: Iterable[_Row], *, may_go_back: bool) -> None:
    """Note for each series when the last of its new readings came."""
    last = {series: received for series, _, received, *_ in new}
    db.executemany(
        "UPDATE series SET arrived_ms = ?2 WHERE id = ?1 AND (?3 OR arrived_ms < ?2)",
        [(series, received, may_go_back) for series, received in last.items()],
    )


def _conflicts(
    db: sqlite3.Connection, rows: Sequence[_Row], judged: Sequence[Judged]
) -> Iterator[DeadLetter]:
    """Readings whose time is taken by another value. Equal values are mere repeats."""
    for row, one in zip(rows, judged, strict=True):
        value = row[4] if row[7] is None else row[7]
        kept = db.execute(
            f"SELECT coalesce(raw, value), {_CAME_AGAIN} FROM readings "  # noqa: S608 - as above
            "WHERE series = ?1 AND measured_ms = ?2",
            row,
        ).fetchone()
        if kept is not None and value != kept[0] and not kept[1]:
            yield _second_value(one.reading, value, kept[0])


def _second_value(reading: Reading, value: float, kept: float) -> DeadLetter:
    sent_at = (reading.stamped_at or reading.measured_at).isoformat()
    payload = {
        "device": reading.device,
        "place": reading.place,
        "quantity": reading.quantity.value,
        "value": value,
        "t": sent_at,
    }
    return DeadLetter(
        topic=reading.device,
        payload=json.dumps(payload).encode(),
        reason=(
            f"a second value for {reading.quantity} of {reading.device} at {sent_at}: "
            f"{kept!r} is kept, this is {value!r}"
        ),
        at=reading.received_at,
    )


def _write_dead_letters(db: sqlite3.Connection, letters: Iterable[DeadLetter]) -> None:
    gathered: dict[bytes, DeadLetter] = {}
    for letter in letters:
        digest = _digest(letter)
        earlier = gathered.get(digest)
        gathered[digest] = letter if earlier is None else _both(earlier, letter)
    db.executemany(
        """
        INSERT INTO dead_letters (digest, topic, payload, reason, at_ms, count, retained)
        VALUES (?, ?, ?, ?, ?, ?, ?)
        ON CONFLICT (digest) DO UPDATE SET
            at_ms = excluded.at_ms, count = count + excluded.count
        WHERE excluded.at_ms > at_ms
        """,
        [
            (
                digest,
                _text(letter.topic),
                *_kept(letter),
                to_ms(letter.at),
                letter.count,
                letter.retained,
            )
            for digest, letter in gathered.items()
        ],
    )
    _drop_oldest_dead_letters(db)


def _digest(letter: DeadLetter) -> bytes:
    """Equal letters have equal ones; an index of whole payloads would double the file."""
    parts = (_text(letter.topic).encode(), _text(letter.reason).encode(), letter.payload)
    retained = b"\0retained" if letter.retained else b""
    return hashlib.sha256(b"\0".join(parts) + retained, usedforsecurity=False).digest()


def _both(earlier: DeadLetter, later: DeadLetter) -> DeadLetter:
    return replace(earlier, at=max(earlier.at, later.at), count=earlier.count + later.count)


def _kept(letter: DeadLetter) -> tuple[bytes, str]:
    payload, reason = letter.payload, _text(letter.reason)
    if len(payload) <= MAX_KEPT_PAYLOAD_BYTES:
        return payload, reason
    told = f"{reason} (the first {MAX_KEPT_PAYLOAD_BYTES} of {len(payload)} bytes are kept)"
    return payload[:MAX_KEPT_PAYLOAD_BYTES], told


def _drop_oldest_dead_letters(db: sqlite3.Connection) -> None:
    kept: int = db.execute("SELECT count(*) FROM dead_letters").fetchone()[0]
    over = kept - MAX_DEAD_LETTERS
    if over > 0:
        db.execute(
            "DELETE FROM dead_letters WHERE id IN "
            "(SELECT id FROM dead_letters ORDER BY at_ms, id LIMIT ?)",
            (over,),
        )
        db.execute(
            "INSERT INTO counters (name, value) VALUES (?, ?) "
            "ON CONFLICT (name) DO UPDATE SET value = value + excluded.value",
            (DROPPED, over),
        )


def _write_strangers(db: sqlite3.Connection, strangers: Iterable[Stranger]) -> None:
    gathered: dict[tuple[str, str], Stranger] = {}
    for one in strangers:
        key = (_text(one.device), _text(one.measure))
        earlier = gathered.get(key)
        gathered[key] = one if earlier is None else _newer_of(earlier, one)
    db.executemany(
        """
        INSERT INTO strangers (device, measure, topic, value, unit, at_ms, count)
        VALUES (?, ?, ?, ?, ?, ?, ?)
        ON CONFLICT (device, measure) DO UPDATE SET
            topic = excluded.topic, value = excluded.value, unit = excluded.unit,
            at_ms = excluded.at_ms, count = count + excluded.count
        WHERE excluded.at_ms > at_ms
        """,
        [
            (
                *key,
                _text(one.topic),
                float(one.value),
                None if one.unit is None else _text(one.unit),
                to_ms(one.at),
                one.count,
            )
            for key, one in gathered.items()
        ],
    )
    _drop_longest_unheard(db)


def _newer_of(earlier: Stranger, later: Stranger) -> Stranger:
    newer = later if later.at >= earlier.at else earlier
    return replace(newer, count=earlier.count + later.count)


def _drop_longest_unheard(db: sqlite3.Connection) -> None:
    db.execute(
        """
        DELETE FROM strangers WHERE device IN (
            SELECT device FROM strangers GROUP BY device
            ORDER BY max(at_ms) DESC, device LIMIT -1 OFFSET ?
        )
        """,
        (MAX_STRANGE_SENDERS,),
    )
    db.execute(
        """
        DELETE FROM strangers WHERE (device, measure) IN (
            SELECT device, measure FROM (
                SELECT device, measure, row_number() OVER (
                    PARTITION BY device ORDER BY at_ms DESC, measure
                ) AS rank FROM strangers
            ) WHERE rank > ?
        )
        """,
        (MAX_MEASURES_OF_A_STRANGER,),
    )


def _write_overheard(db: sqlite3.Connection, overheard: Iterable[Overheard]) -> None:
    gathered: dict[str, Overheard] = {}
    for one in overheard:
        topic = _text(one.topic)
        earlier = gathered.get(topic)
        if earlier is None:
            gathered[topic] = one
        else:
            newer = one if one.at >= earlier.at else earlier
            gathered[topic] = replace(newer, count=earlier.count + one.count)
    db.executemany(
        """
        INSERT INTO overheard (topic, payload, reason, at_ms, count) VALUES (?, ?, ?, ?, ?)
        ON CONFLICT (topic) DO UPDATE SET
            payload = excluded.payload, reason = excluded.reason,
            at_ms = excluded.at_ms, count = count + excluded.count
        WHERE excluded.at_ms > at_ms
        """,
        [
            (
                topic,
                one.payload[:MAX_KEPT_PAYLOAD_BYTES],
                _text(one.reason),
                to_ms(one.at),
                one.count,
            )
            for topic, one in gathered.items()
        ],
    )
    db.execute(
        "DELETE FROM overheard WHERE topic IN "
        "(SELECT topic FROM overheard ORDER BY at_ms DESC, topic LIMIT -1 OFFSET ?)",
        (MAX_OVERHEARD,),
    )


def _write_heard(db: sqlite3.Connection, heard: Iterable[Heard]) -> None:
    db.executemany(
        """
        INSERT INTO deadlines (device, at_ms, deadline_ms) VALUES (?, ?, ?)
        ON CONFLICT (device) DO UPDATE SET
            at_ms = max(at_ms, excluded.at_ms),
            deadline_ms = max(deadline_ms, excluded.deadline_ms)
        """,
        [(one.device, to_ms(one.at), to_ms(one.deadline)) for one in heard],
    )


def _set_deadlines(db: sqlite3.Connection, deadlines: Iterable[Heard]) -> None:
    db.executemany(
        "INSERT OR REPLACE INTO deadlines (device, at_ms, deadline_ms) VALUES (?, ?, ?)",
        [(one.device, to_ms(one.at), to_ms(one.deadline)) for one in deadlines],
    )


def _write_gaps(db: sqlite3.Connection, gaps: Iterable[Gap]) -> None:
    db.executemany(
        "INSERT INTO gaps (at_ms, reason) VALUES (?, ?) ON CONFLICT DO NOTHING",
        [(to_ms(gap.at), _text(gap.reason)) for gap in gaps],
    )


def _text(sent: str) -> str:
    """Text that SQLite takes, whatever a topic held: half a surrogate pair is escaped."""
    return sent.encode("utf-8", "backslashreplace").decode("utf-8")
