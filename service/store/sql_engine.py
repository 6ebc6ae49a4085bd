"""Short, safe transactions on records.db for several processes at once.

SQLite with its rollback journal: watch and pages both write. A transaction that reads first
and asks for the write lock later fails at once, or overwrites what the other has just
written; so every writing transaction begins IMMEDIATE, by event hooks, with pysqlite's own
transaction handling switched off.

Source: SQLAlchemy 2 documentation, "SQLite: Serializable isolation / Savepoints /
Transactional DDL" of the pysqlite dialect; sqlite.org/lang_transaction.html.
"""

import random
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DatabaseError, IntegrityError, ProgrammingError

from service.errors import InputError, NotInThisVersionError, StoreUnavailableError

BUSY_TIMEOUT_S = 2.0
PATIENCE_S = 15.0

T = TypeVar("T")


def sql_url(url: str, data_folder: Path) -> URL:
    """Read ``sqlite:///name``; a relative file lies in the data folder.

    Raises:
        NotInThisVersionError: PostgreSQL.
        InputError: neither of the two, or no file named.
    """
    try:
        parsed = make_url(url)
    except ArgumentError as error:
        raise InputError(f"{url}: not the address of a database") from error
    kind = parsed.get_backend_name()
    if kind == "postgresql":
        raise NotInThisVersionError("records in PostgreSQL: not available in this version")
    if kind != "sqlite" or not parsed.database or parsed.database == ":memory:":
        raise InputError(f"{url}: expected sqlite:///FILE")
    return URL.create("sqlite+pysqlite", database=str(data_folder / parsed.database))


def open_engine(url: URL, *, foreign_keys: bool = True) -> Engine:
    """An engine for one SQLite file; nothing is opened before the first transaction.

    ``foreign_keys`` is switched off for migrations only.
    """
    engine = create_engine(url, connect_args={"timeout": BUSY_TIMEOUT_S})

    @event.listens_for(engine, "connect")
    def prepare(dbapi_connection: sqlite3.Connection, _record: object) -> None:
        dbapi_connection.isolation_level = None
        dbapi_connection.execute("PRAGMA journal_mode = DELETE")
        dbapi_connection.execute("PRAGMA synchronous = FULL")
        dbapi_connection.execute(f"PRAGMA foreign_keys = {int(foreign_keys)}")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


class Transactions:
    """Runs pieces of work, each in one transaction that is committed before the return.

    A piece of work may run several times (a busy store is tried again), so it does nothing
    but talk to its connection.
    """

    def __init__(self, engine: Engine, *, patience_s: float = PATIENCE_S) -> None:
        self._reading = engine
        self._writing = engine.execution_options(writes=True)
        self._patience_s = patience_s

    def read(self, work: Callable[[Connection], T]) -> T:
        """Run ``work`` on one consistent state of the store.

        Raises:
            StoreUnavailableError: the store stayed busy, or can't be read.
        """
        return self._run(self._reading, work)

    def write(self, work: Callable[[Connection], T]) -> T:
        """Run ``work`` as the only writer; all of it is kept, or nothing.

        Raises:
            StoreUnavailableError: the store stayed busy, or can't be written.
        """
        return self._run(self._writing, work)

    def close(self) -> None:
        """Let go of all connections."""
        self._reading.dispose()

    def _run(self, engine: Engine, work: Callable[[Connection], T]) -> T:
        give_up_at = time.monotonic() + self._patience_s
        while True:
            try:
                with engine.begin() as connection:
                    return work(connection)
            except (IntegrityError, ProgrammingError):
                raise
            except DatabaseError as error:
                if not is_busy(error) or time.monotonic() > give_up_at:
                    raise StoreUnavailableError(f"the records can't be used: {error.orig}") from (
                        error
                    )
            # Two that were turned away together should not come back together.
            time.sleep(random.uniform(0.005, 0.05))  # noqa: S311 - no secret


def is_busy(error: DatabaseError) -> bool:
    """Whether another connection holds the file, so that waiting helps."""
    code: Any = getattr(error.orig, "sqlite_errorcode", None)
    return code is not None and code & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
