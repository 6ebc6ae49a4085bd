"""Moves of eggs and chicks into the book's rows, within the caller's transaction."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, ScalarSelect, select

from service.errors import InputError, NotKnownError
from service.nests.moving import MoveTold, reopens, why_not
from service.nests.nest import Clutch, Egg, Move, Nest
from service.store.sql_book_tables import MOVES
from service.store.sql_clutch_reading import read_clutches
from service.store.sql_clutch_writing import boxes_of
from service.store.sql_nest_reading import read_nests
from service.store.sql_nest_rows import move_row
from service.store.sql_rows import boxes_moved_on, insert_row, update_row
from service.store.sql_tables import CLUTCHES, EGGS


def move(
    connection: Connection, eggs: Sequence[tuple[int, str]], planned: Move, now: datetime
) -> list[Move]:
    """``eggs`` are ids with the box that each is taken out of; see ``NestBook.move``."""
    made = []
    into = _nest(connection, planned.to_box)
    for egg_id, out_of in eggs:
        clutch, egg = _egg(connection, egg_id)
        told = MoveTold(
            clutch=clutch, egg=egg, out_of=_nest(connection, out_of), into=into, at=planned.at
        )
        reason = why_not(told, now)
        if reason is not None:
            raise InputError(reason)
        values = move_row(planned, egg_id) | {"from_box": out_of}
        made.append(
            Move(
                id=insert_row(connection, MOVES, values),
                at=planned.at,
                from_box=out_of,
                to_box=planned.to_box,
                why=planned.why,
                by=planned.by,
            )
        )
        if reopens(told):
            update_row(connection, CLUTCHES, clutch.id, {"closed_at": None})
        boxes_moved_on(connection, {out_of, planned.to_box, *boxes_of(clutch)})
    return made


def _egg(connection: Connection, egg_id: int) -> tuple[Clutch, Egg]:
    for clutch in read_clutches(connection, CLUTCHES.c.id == _clutch_id(egg_id)):
        return clutch, next(egg for egg in clutch.eggs if egg.id == egg_id)
    raise NotKnownError(f"there is no egg {egg_id}")


def _clutch_id(egg_id: int) -> ScalarSelect[int]:
    return select(EGGS.c.clutch_id).where(EGGS.c.id == egg_id).scalar_subquery()


def _nest(connection: Connection, box: str) -> Nest:
    nests = read_nests(connection, box)
    if not nests:
        raise NotKnownError(f"there is no nest box {box!r}")
    return nests[0]
