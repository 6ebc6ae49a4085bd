"""Masses of eggs, chicks and birds in the book's rows, within the caller's transaction."""

from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import Connection, delete, select

from service.errors import InputError, NotKnownError
from service.nests.compare_weights import LEAST_G, MOST_G
from service.nests.facts import Fact, Value
from service.nests.weighing import Weighing
from service.store.sql_book_tables import WEIGHINGS
from service.store.sql_rows import insert_row, update_row
from service.store.sql_tables import BIRDS, EGGS

CLOCKS_MAY_DIFFER_BY = timedelta(minutes=5)


def weigh(connection: Connection, weighing: Weighing, now: datetime) -> Weighing:
    """Keep a mass; its id is made here.

    Raises:
        NotKnownError: no such egg or bird.
        InputError: a mass that can't be, or an instant that is still to come or too early.
    """
    values = {
        "mass_g": weighing.mass_g,
        "at": weighing.at,
        "egg_id": weighing.egg_id,
        "bird_id": weighing.bird_id,
        "by": weighing.by,
    }
    _refuse(connection, values, now)
    return Weighing(id=insert_row(connection, WEIGHINGS, values), **values)  # type: ignore[arg-type]


def weighing_value(connection: Connection, fact: Fact, weighing_id: int) -> Value:
    """The parts as they stand; all None for a weighing that was taken back."""
    asked = select(WEIGHINGS).where(WEIGHINGS.c.id == weighing_id)
    row = connection.execute(asked).mappings().first()
    return tuple(None if row is None else row[part.name] for part in fact.parts)


def put_weighing(
    connection: Connection, fact: Fact, weighing_id: int, value: Value, now: datetime
) -> None:
    """Change it, take it back (all None), or let it stand again."""
    if all(part is None for part in value):
        connection.execute(delete(WEIGHINGS).where(WEIGHINGS.c.id == weighing_id))
        return
    values = {part.name: one for part, one in zip(fact.parts, value, strict=True)}
    _refuse(connection, values, now)
    if not update_row(connection, WEIGHINGS, weighing_id, values):
        insert_row(connection, WEIGHINGS, values | {"id": weighing_id})


def _refuse(connection: Connection, values: dict[str, Any], now: datetime) -> None:
    mass_g, at = values["mass_g"], values["at"]
    if mass_g is None or not LEAST_G <= mass_g <= MOST_G:
        told = "no mass" if mass_g is None else f"{mass_g:g} g"
        raise InputError(f"Mass: {told}; allowed: {LEAST_G:g} to {MOST_G:g} g.")
    if at is None or at > now + CLOCKS_MAY_DIFFER_BY:
        raise InputError("When was it weighed? Not later than now.")
    egg_id, bird_id = values["egg_id"], values["bird_id"]
    if (egg_id is None) == (bird_id is None):
        raise InputError("A weighing is of one egg or of one bird.")
    if egg_id is not None:
        laid_from = connection.execute(select(EGGS.c.laid_from).where(EGGS.c.id == egg_id)).scalar()
        if laid_from is None:
            raise NotKnownError(f"there is no egg {egg_id}")
        if at < laid_from:
            raise InputError("It can't have been weighed before it was laid.")
    elif connection.execute(select(BIRDS.c.id).where(BIRDS.c.id == bird_id)).first() is None:
        raise NotKnownError(f"there is no bird {bird_id}")
