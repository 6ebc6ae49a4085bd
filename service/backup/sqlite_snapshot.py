"""Copies of databases that others are writing to, and what is in them.

By SQLite's own backup (sqlite.org/backup.html), never by copying the file: that misses what
stands in the write-ahead log, or tears a page. readings.db (a write-ahead log) is copied in
steps while a read transaction holds its state still: else each commit of watch would begin
the copy anew. records.db (a rollback journal) is small and copied in one step: a reader that
held it for longer would keep the nest book from being written.
"""

import os
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from service.backup.errors import BackupNotMadeError, DamagedBackupError
from service.backup.manifest import DatabaseFacts

PAGES_A_STEP = 512
"""2 MB with pages of 4 KB."""

BUSY_TIMEOUT_S = 5.0
LONGEST_COPY_S = 3600.0
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def copy_database(source: Path, copy: Path) -> None:
    """Write a copy of ``source`` as it is at one moment, synced to the disk.

    Everything that was committed before the call is in it.

    Raises:
        BackupNotMadeError: it can't be read, or the copy can't be written.
    """
    os.close(os.open(copy, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    try:
        with _to_read(source) as db, _to_fill(copy) as target:
            _copy(db, target, copy)
    except sqlite3.Error as error:
        raise BackupNotMadeError(f"{source} can't be copied: {error}") from error


def facts_of(copy: Path) -> DatabaseFacts:
    """Count what is in a copy that nobody writes to.

    Raises:
        DamagedBackupError: it is no database, or a damaged one.
    """
    try:
        with _at_rest(copy) as db:
            told = [row[0] for row in db.execute("PRAGMA integrity_check")]
            if told != ["ok"]:
                raise DamagedBackupError(f"{copy.name} is damaged: {told[0]}")
            return _facts(db)
    except sqlite3.Error as error:
        raise DamagedBackupError(f"{copy.name} can't be read: {error}") from error


def _copy(db: sqlite3.Connection, target: sqlite3.Connection, copy: Path) -> None:
    give_up_at = time.monotonic() + LONGEST_COPY_S
    logged = db.execute("PRAGMA journal_mode").fetchone()[0] == "wal"
    descriptor = os.open(copy, os.O_RDONLY)

    def between_steps(_status: int, left: int, _total: int) -> None:
        if time.monotonic() > give_up_at:
            raise BackupNotMadeError(f"{copy.name}: the copy took longer than an hour")
        if left:
            # Little by little: a card that must swallow it all at once keeps watch waiting.
            os.fsync(descriptor)

    try:
        if logged:
            db.execute("BEGIN")
            db.execute("SELECT count(*) FROM sqlite_master").fetchone()
        pages = PAGES_A_STEP if logged else -1
        db.backup(target, pages=pages, progress=between_steps, sleep=0.02)
        if logged:
            db.execute("ROLLBACK")
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


@contextmanager
def _to_read(file: Path) -> Iterator[sqlite3.Connection]:
    """As the readers of the service do: never checkpointing, changing nothing."""
    db = sqlite3.connect(
        f"{file.absolute().as_uri()}?mode=rw",
        uri=True,
        timeout=BUSY_TIMEOUT_S,
        isolation_level=None,
    )
    try:
        db.execute("PRAGMA query_only = 1")
        db.execute("PRAGMA wal_autocheckpoint = 0")
        yield db
    finally:
        db.close()


@contextmanager
def _to_fill(file: Path) -> Iterator[sqlite3.Connection]:
    """Nobody else knows the file: no journal is needed, and it is synced at the end."""
    db = sqlite3.connect(file, isolation_level=None)
    try:
        db.execute("PRAGMA journal_mode = OFF")
        db.execute("PRAGMA synchronous = OFF")
        yield db
    finally:
        db.close()


@contextmanager
def _at_rest(file: Path) -> Iterator[sqlite3.Connection]:
    """Read the file itself and make none beside it."""
    db = sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro&immutable=1", uri=True)
    try:
        yield db
    finally:
        db.close()


def _facts(db: sqlite3.Connection) -> DatabaseFacts:
    names = [
        str(name)
        for (name,) in db.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
        )
    ]
    counts = {
        name: int(db.execute(f"SELECT count(*) FROM {_quoted(name)}").fetchone()[0])  # noqa: S608
        for name in sorted(names)
    }
    if "alembic_version" in counts:
        found = db.execute("SELECT version_num FROM alembic_version").fetchone()
        number = str(found[0]) if found else "0"
        # A step that is no number is none of ours: a layout far beyond what we know.
        layout = int(number) if number.isdecimal() else 10**6
    else:
        layout = int(db.execute("PRAGMA user_version").fetchone()[0])
    return DatabaseFacts(layout=layout, counts=counts, newest_reading_at=_newest(db, counts))


def _newest(db: sqlite3.Connection, counts: dict[str, int]) -> datetime | None:
    if "series" not in counts:
        return None
    arrived_ms = db.execute("SELECT max(arrived_ms) FROM series").fetchone()[0]
    return _EPOCH + timedelta(milliseconds=arrived_ms) if arrived_ms else None


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def fault_in(file: Path, *, deep: bool) -> str | None:
    """What SQLite finds wrong with a database that others may be writing to; None: nothing.

    ``deep`` also compares the indexes with their tables, follows the references between
    tables and counts the rows of each; that takes minutes where the other takes seconds.

    Raises:
        sqlite3.Error: it can't be opened or stays busy.
    """
    with _to_read(file) as db:
        try:
            found = db.execute(f"PRAGMA {'integrity_check' if deep else 'quick_check'}(1)")
            told = str(found.fetchone()[0])
            if told != "ok":
                return told
            if deep:
                _facts(db)
                loose = db.execute("PRAGMA foreign_key_check").fetchone()
                if loose is not None:
                    return f"a row of {loose[0]} points to a row of {loose[2]} that is not there"
        except sqlite3.DatabaseError as error:
            code = getattr(error, "sqlite_errorcode", 0) & 0xFF
            if code in {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}:
                return str(error)
            raise
    return None
