"""Add rows, or replace those that are there by their id."""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Table, insert, update


def replace_rows(connection: Connection, table: Table, rows: Sequence[dict[str, Any]]) -> None:
    """Update each row by ``id``, else insert it; columns that a row leaves out are kept.

    Two statements are safe here: every writing transaction holds the write lock from its
    begin on.
    """
    for row in rows:
        changed = connection.execute(update(table).where(table.c.id == row["id"]).values(row))
        if changed.rowcount == 0:
            connection.execute(insert(table).values(row))
