"""Which layouts the databases of a data folder have, told without any code of their version."""

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

_NUMBER = {
    "records.db": "SELECT version_num FROM alembic_version",
    "readings.db": "PRAGMA user_version",
}


def layouts_of(data: Path) -> str:
    """For example ``records.db 0002, readings.db 2``; equal where nothing has changed.

    Raises:
        sqlite3.Error: a database can't be read.
    """
    return ", ".join(_told(data, _NUMBER))


def _told(data: Path, names: Iterable[str]) -> Iterable[str]:
    for name in names:
        file = data / name
        if not file.exists():
            yield f"{name} none"
            continue
        with closing(sqlite3.connect(file)) as database:
            database.execute("PRAGMA query_only = 1")
            row = database.execute(_NUMBER[name]).fetchone()
            yield f"{name} {row[0] if row else 'none'}"
