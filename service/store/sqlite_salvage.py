"""What to do with a readings.db that SQLite can't read any more.

The birds must be watched although their history is broken: the damaged files are put aside,
kept for whoever can mend them, and a fresh store begins.
"""

import sqlite3
from datetime import datetime
from pathlib import Path

_DAMAGE = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def is_damage(error: BaseException) -> bool:
    """Whether an error says that the file itself is broken, not that it can't be had now."""
    cause: BaseException | None = error
    while cause is not None:
        code = getattr(cause, "sqlite_errorcode", None)
        if code is not None and code & 0xFF in _DAMAGE:
            return True
        cause = cause.__cause__
    return False


def put_aside(file: Path, now: datetime) -> Path:
    """Give the store and its write-ahead log other names; return the store's new one.

    Raises:
        OSError: it can't be renamed.
    """
    stamp = f"damaged-{now:%Y%m%dT%H%M%S}"
    kept = file.with_name(f"{file.name}.{stamp}")
    for ending in ("-wal", "-shm", ""):
        part = file.with_name(file.name + ending)
        if part.exists():
            part.rename(kept.with_name(kept.name + ending))
    return kept
