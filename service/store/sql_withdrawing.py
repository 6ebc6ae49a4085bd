"""A look that changed nothing, taken back by whoever made it too soon."""

import json

from sqlalchemy import Connection, delete, select

from service.errors import InputError
from service.nests.plain_look import is_plain
from service.store.sql_check_rows import check_of
from service.store.sql_rows import boxes_moved_on
from service.store.sql_tables import CHECKS


def withdraw(connection: Connection, form_id: str) -> bool:
    """See ``NestBook.withdraw``."""
    row = connection.execute(select(CHECKS).where(CHECKS.c.form_id == form_id)).mappings().first()
    if row is None:
        return False
    if json.loads(row["changes"]) or not is_plain(check_of(row)):
        raise InputError(
            "This look told something, so it is not taken back as a whole; what is wrong in it "
            "is corrected on the nest's page."
        )
    newest = (
        select(CHECKS.c.id)
        .where(CHECKS.c.box == row["box"])
        .order_by(CHECKS.c.at.desc(), CHECKS.c.id.desc())
    )
    if connection.execute(newest).scalar() != row["id"]:
        raise InputError("There has been another look since; this one stays.")
    connection.execute(delete(CHECKS).where(CHECKS.c.id == row["id"]))
    boxes_moved_on(connection, [row["box"]])
    return True
