"""The tables of readings.db, and the steps that lead from one layout to the next.

The number of the layout is kept in ``user_version``. Each step is one transaction, run
statement by statement (``executescript`` would commit on its own), so a step that fails
leaves the file as it was.
"""

import sqlite3

from service.errors import InputError

_FIRST_LAYOUT = (
    # ``arrived_ms`` is when the last of its readings came, by the order of the commits: after
    # a clock was put back it lies before the greatest ``received_ms``.
    """
    CREATE TABLE series (
        id INTEGER PRIMARY KEY,
        device TEXT NOT NULL,
        place TEXT NOT NULL,
        quantity TEXT NOT NULL,
        arrived_ms INTEGER NOT NULL DEFAULT 0,
        UNIQUE (device, place, quantity)
    ) STRICT
    """,
    # ``stamped_ms`` is the sender's time where it was not believed; a redelivered message
    # arrives at another moment and is known again by it. Many readings may share one: that
    # of a clock which begins anew whenever its sensor wakes.
    """
    CREATE TABLE readings (
        series INTEGER NOT NULL,
        measured_ms INTEGER NOT NULL,
        received_ms INTEGER NOT NULL,
        stamped_ms INTEGER,
        value REAL NOT NULL,
        flag INTEGER NOT NULL,
        reason TEXT NOT NULL,
        PRIMARY KEY (series, measured_ms)
    ) STRICT, WITHOUT ROWID
    """,
    """
    CREATE INDEX readings_stamped ON readings (series, stamped_ms, received_ms)
    WHERE stamped_ms IS NOT NULL
    """,
    """
    CREATE TABLE dead_letters (
        id INTEGER PRIMARY KEY,
        digest BLOB NOT NULL UNIQUE,
        topic TEXT NOT NULL,
        payload BLOB NOT NULL,
        reason TEXT NOT NULL,
        at_ms INTEGER NOT NULL,
        count INTEGER NOT NULL
    ) STRICT
    """,
    "CREATE INDEX dead_letters_at ON dead_letters (at_ms)",
    """
    CREATE TABLE strangers (
        device TEXT NOT NULL,
        measure TEXT NOT NULL,
        topic TEXT NOT NULL,
        value REAL NOT NULL,
        unit TEXT,
        at_ms INTEGER NOT NULL,
        count INTEGER NOT NULL,
        PRIMARY KEY (device, measure)
    ) STRICT, WITHOUT ROWID
    """,
    """
    CREATE TABLE deadlines (
        device TEXT PRIMARY KEY,
        at_ms INTEGER NOT NULL,
        deadline_ms INTEGER NOT NULL
    ) STRICT, WITHOUT ROWID
    """,
    """
    CREATE TABLE gaps (
        at_ms INTEGER NOT NULL,
        reason TEXT NOT NULL,
        PRIMARY KEY (at_ms, reason)
    ) STRICT, WITHOUT ROWID
    """,
    "CREATE TABLE counters (name TEXT PRIMARY KEY, value INTEGER NOT NULL) STRICT, WITHOUT ROWID",
)

_CALIBRATED_AND_OVERHEARD = (
    # The value before a calibration was applied; null where none was.
    "ALTER TABLE readings ADD COLUMN raw REAL",
    # What the broker had kept may be of any age: to read it again as if it were of its arrival
    # would be a lie.
    "ALTER TABLE dead_letters ADD COLUMN retained INTEGER NOT NULL DEFAULT 0",
    """
    CREATE TABLE overheard (
        topic TEXT PRIMARY KEY NOT NULL,
        payload BLOB NOT NULL,
        reason TEXT NOT NULL,
        at_ms INTEGER NOT NULL,
        count INTEGER NOT NULL
    ) STRICT
    """,
)

STEPS: tuple[tuple[str, ...], ...] = (_FIRST_LAYOUT, _CALIBRATED_AND_OVERHEARD)
LAYOUT = len(STEPS)


def layout_of(db: sqlite3.Connection) -> int:
    """The number of the file's layout; 0 where nothing was laid out yet.

    Raises:
        InputError: a newer version wrote the file; reading it by guess would harm it.
    """
    found: int = db.execute("PRAGMA user_version").fetchone()[0]
    if found > LAYOUT:
        raise InputError(
            f"the file of readings has layout {found}, and this version knows layouts up to "
            f"{LAYOUT}: a newer version has written it"
        )
    return found


def bring_up_to_date(db: sqlite3.Connection) -> None:
    """Take the steps that the file still lacks. ``db`` must be in autocommit mode."""
    for number in range(layout_of(db), LAYOUT):
        db.execute("BEGIN IMMEDIATE")
        try:
            for statement in STEPS[number]:
                db.execute(statement)
            db.execute(f"PRAGMA user_version = {number + 1}")
            db.execute("COMMIT")
        except BaseException:
            if db.in_transaction:
                db.execute("ROLLBACK")
            raise
