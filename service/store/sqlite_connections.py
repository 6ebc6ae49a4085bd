"""Connections to readings.db: the one that writes, and those that only read.

watch has the writer. Readers run under the same user and open the file for writing too (a
true read-only open fails on a WAL without a writer), but with ``query_only`` and without
ever checkpointing, so that no two connections checkpoint one WAL.
"""

import sqlite3
import threading
from collections import deque
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from pathlib import Path
from typing import Protocol

from service.errors import StoreUnavailableError
from service.store.sqlite_layout import LAYOUT, bring_up_to_date, layout_of

BUSY_TIMEOUT_S = 5.0
WAL_SIZE_LIMIT_BYTES = 16 * 1024 * 1024
MAX_IDLE_READERS = 4


class Connections(Protocol):
    """Lends connections to one file."""

    def lend(self) -> AbstractContextManager[sqlite3.Connection | None]:
        """A connection for the length of a ``with``; None where the file is not there yet.

        Raises:
            StoreUnavailableError: SQLite failed, inside the ``with`` too.
        """
        ...

    def close(self) -> None:
        """Close them all."""
        ...


@contextmanager
def told_as_unavailable(file: Path) -> Iterator[None]:
    """Turn what SQLite raises (busy, full, no disk, not a database) into our own error."""
    try:
        yield
    except sqlite3.Error as error:
        raise StoreUnavailableError(f"{file}: {error}") from error
    except OSError as error:
        raise StoreUnavailableError(f"{file}: {error.strerror}") from error


class WriterConnection:
    """The one connection that writes. Makes the file and brings its layout up to date.

    It may be used by any thread, one at a time.
    """

    def __init__(self, file: Path) -> None:
        self._file = file
        self._lock = threading.Lock()
        with told_as_unavailable(file):
            file.parent.mkdir(parents=True, exist_ok=True)
            self._db = sqlite3.connect(
                file, timeout=BUSY_TIMEOUT_S, isolation_level=None, check_same_thread=False
            )
            try:
                self._set_up()
            except BaseException:
                self._db.close()
                raise

    def _set_up(self) -> None:
        mode = self._db.execute("PRAGMA journal_mode = WAL").fetchone()[0]
        if mode != "wal":
            raise StoreUnavailableError(f"{self._file}: this disk can't hold a write-ahead log")
        self._db.execute("PRAGMA synchronous = FULL")
        self._db.execute(f"PRAGMA journal_size_limit = {WAL_SIZE_LIMIT_BYTES}")
        bring_up_to_date(self._db)

    @contextmanager
    def lend(self) -> Iterator[sqlite3.Connection]:
        with self._lock, told_as_unavailable(self._file):
            yield self._db

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """The connection inside a transaction: all of it, or nothing."""
        with self.lend() as db:
            db.execute("BEGIN IMMEDIATE")
            try:
                yield db
                db.execute("COMMIT")
            except BaseException:
                # A full disk may have rolled it back already.
                if db.in_transaction:
                    with suppress(sqlite3.Error):
                        db.execute("ROLLBACK")
                raise

    def close(self) -> None:
        with self._lock, told_as_unavailable(self._file):
            self._db.close()


class ReaderConnections:
    """A few connections that only read, one for each thread that asks at a time."""

    def __init__(self, file: Path) -> None:
        self._file = file
        self._idle: deque[sqlite3.Connection] = deque()
        self._closed = False

    @contextmanager
    def lend(self) -> Iterator[sqlite3.Connection | None]:
        if self._closed:
            raise StoreUnavailableError(f"{self._file}: closed")
        with told_as_unavailable(self._file):
            db = self._take()
            try:
                yield db
            except BaseException:
                # After an error nobody knows what state it is in.
                if db is not None:
                    db.close()
                raise
            if db is not None:
                self._give_back(db)

    def _take(self) -> sqlite3.Connection | None:
        try:
            return self._idle.pop()
        except IndexError:
            return self._open()

    def _give_back(self, db: sqlite3.Connection) -> None:
        if self._closed or len(self._idle) >= MAX_IDLE_READERS:
            db.close()
        else:
            self._idle.append(db)

    def _open(self) -> sqlite3.Connection | None:
        """None while watch has not made the file, or not finished to lay it out."""
        if not self._file.exists():
            return None
        db = sqlite3.connect(
            f"{self._file.absolute().as_uri()}?mode=rw",
            uri=True,
            timeout=BUSY_TIMEOUT_S,
            isolation_level=None,
            check_same_thread=False,
        )
        try:
            db.execute("PRAGMA query_only = 1")
            db.execute("PRAGMA wal_autocheckpoint = 0")
            layout = layout_of(db)
        except BaseException:
            db.close()
            raise
        if layout == LAYOUT:
            return db
        db.close()
        if layout == 0:
            return None
        raise StoreUnavailableError(f"{self._file}: watch has not yet renewed its layout")

    def close(self) -> None:
        self._closed = True
        while self._idle:
            self._idle.pop().close()
