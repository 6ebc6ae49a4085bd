"""Brings records.db to the layout that this version knows.

One transaction for all steps: a step that fails leaves the file as it was. Begun IMMEDIATE:
of two processes that start together one waits, then finds the work done. Foreign keys are
off meanwhile (a table may have to be made anew) and looked at once before the commit.

Source of the order: sqlite.org/lang_altertable.html, section 7.
"""

from pathlib import Path

from sqlalchemy import Connection, inspect, text
from sqlalchemy.engine import URL

from devices.errors import ClutchweatherError
from service.store.sql_engine import Transactions, open_engine

STEPS = Path(__file__).parent / "migrations"
NEWEST = "0006"


class NewerRecordsError(ClutchweatherError):
    """The records were written by a newer version; this one would spoil them."""


class BrokenRecordsError(ClutchweatherError):
    """The records contradict themselves after a migration; nothing was changed."""


def upgrade(url: URL, *, steps: Path = STEPS, newest: str = NEWEST) -> None:
    """Make or change the tables; does nothing when they are as they should be.

    Raises:
        NewerRecordsError: the layout is not one that this version knows.
        StoreUnavailableError: the file stayed busy, or can't be written.
    """
    transactions = Transactions(open_engine(url, foreign_keys=False))
    try:
        if transactions.read(_layout) != newest:
            transactions.write(lambda connection: _go_forward(connection, steps, newest))
    finally:
        transactions.close()


def is_current(url: URL) -> bool:
    """Whether the file, which must exist, has the layout of this version. Changes nothing.

    Raises:
        StoreUnavailableError: the file stayed busy, or can't be read.
    """
    transactions = Transactions(open_engine(url))
    try:
        return transactions.read(_layout) == NEWEST
    finally:
        transactions.close()


def _layout(connection: Connection) -> str | None:
    """The number of the last step taken; None for an empty file."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def _go_forward(connection: Connection, steps: Path, newest: str) -> None:
    # Imported here: on every start but the first nothing of it is needed.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415
    from alembic.script import ScriptDirectory  # noqa: PLC0415
    from alembic.util.exc import CommandError  # noqa: PLC0415

    found = _layout(connection)
    if found == newest:
        return
    config = Config()
    config.set_main_option("script_location", str(steps).replace("%", "%%"))
    config.attributes["connection"] = connection
    if found is not None:
        try:
            ScriptDirectory.from_config(config).get_revision(found)
        except CommandError as error:
            raise NewerRecordsError(
                f"records.db has layout {found}, this version knows up to {newest}: "
                "start the newer version, or restore the backup made before it"
            ) from error
    command.upgrade(config, newest)
    broken = connection.execute(text("PRAGMA foreign_key_check")).all()
    if broken:
        raise BrokenRecordsError(f"{len(broken)} rows point to rows that are not there")
