"""Single rows put in and changed, within the caller's transaction."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import ColumnElement, Connection, Table, insert, update

from service.store.sql_tables import PLACES


def insert_row(connection: Connection, table: Table, values: dict[str, Any]) -> int:
    """A new row; its id."""
    made = connection.execute(insert(table).values(values)).inserted_primary_key
    assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
    return int(made[0])


def update_row(connection: Connection, table: Table, row_id: int, values: dict[str, Any]) -> bool:
    """Change the row of that id; False where there is none."""
    changed = connection.execute(update(table).where(table.c.id == row_id).values(values))
    return changed.rowcount == 1


def moved_on(connection: Connection, which: ColumnElement[bool]) -> None:
    """A new revision of the places that ``which`` tells."""
    connection.execute(update(PLACES).where(which).values(revision=PLACES.c.revision + 1))


def boxes_moved_on(connection: Connection, boxes: Iterable[str]) -> None:
    """A new revision of these boxes: who read one of them before must read it again."""
    moved_on(connection, PLACES.c.id.in_(set(boxes)))
