"""A clutch with its eggs, chicks and moves into its rows, within the caller's transaction."""

from sqlalchemy import Connection, Table, delete, select, update

from service.errors import NotKnownError
from service.nests.nest import Chick, Clutch, Egg, Move
from service.store.sql_book_tables import MOVES
from service.store.sql_nest_rows import clutch_row, move_row, part_row
from service.store.sql_rows import insert_row, update_row
from service.store.sql_tables import CHECKS, CHICKS, CLUTCHES, EGGS, PAIRS


def boxes_of(clutch: Clutch) -> set[str]:
    """Its own box, and those that its eggs and chicks are in."""
    return {clutch.box, *(egg.box(clutch.box) for egg in clutch.eggs)}


def put_clutch(connection: Connection, clutch: Clutch) -> int:
    """Rows of id 0 are new, the others are changed; nothing is removed. The clutch's id.

    Raises:
        NotKnownError: no such pair, clutch, egg or chick.
    """
    clutch_id = clutch.id
    if clutch_id == 0:
        there = select(PAIRS.c.id).where(PAIRS.c.id == clutch.pair_id)
        if connection.execute(there).first() is None:
            raise NotKnownError(f"there is no pair {clutch.pair_id}")
        clutch_id = insert_row(connection, CLUTCHES, clutch_row(clutch))
        _looks_before_the_first_egg(connection, clutch, clutch_id)
    elif not update_row(connection, CLUTCHES, clutch_id, clutch_row(clutch)):
        raise NotKnownError(f"there is no clutch {clutch_id}")
    for egg in clutch.eggs:
        _put_part(connection, EGGS, egg, clutch_id)
    for chick in clutch.chicks:
        _put_part(connection, CHICKS, chick, clutch_id)
    return clutch_id


def replace_clutch(connection: Connection, before: Clutch, after: Clutch) -> None:
    """Put a corrected clutch in the place of the one that was read: what is gone is removed."""
    never_were = {egg.id for egg in before.eggs} - {egg.id for egg in after.eggs}
    connection.execute(delete(EGGS).where(EGGS.c.id.in_(never_were)))
    for egg in after.eggs:
        if egg.id not in {one.id for one in before.eggs}:
            insert_row(connection, EGGS, part_row(egg, after.id) | {"id": egg.id})
    put_clutch(connection, after)
    left = {chick.id for chick in before.chicks} - {chick.id for chick in after.chicks}
    connection.execute(delete(CHICKS).where(CHICKS.c.id.in_(left)))
    old = {move.id: (move, egg.id) for egg in before.eggs for move in egg.moves}
    new = {move.id: (move, egg.id) for egg in after.eggs for move in egg.moves}
    connection.execute(delete(MOVES).where(MOVES.c.id.in_(old.keys() - new.keys())))
    for move_id, (move, egg_id) in new.items():
        if old.get(move_id) != (move, egg_id):
            _put_move(connection, move, egg_id)


def _put_move(connection: Connection, move: Move, egg_id: int) -> None:
    if not update_row(connection, MOVES, move.id, move_row(move, egg_id)):
        insert_row(connection, MOVES, move_row(move, egg_id) | {"id": move.id})


def _looks_before_the_first_egg(connection: Connection, clutch: Clutch, clutch_id: int) -> None:
    """They belong to the clutch that came of them: they say since when there was no egg."""
    eggless = (
        (CHECKS.c.box == clutch.box)
        & CHECKS.c.clutch_id.is_(None)
        & (CHECKS.c.pair_id == clutch.pair_id)
    )
    connection.execute(update(CHECKS).where(eggless).values(clutch_id=clutch_id))


def _put_part(connection: Connection, table: Table, part: Egg | Chick, clutch_id: int) -> None:
    values = part_row(part, clutch_id)
    if part.id == 0:
        insert_row(connection, table, values)
    elif not update_row(connection, table, part.id, values):
        raise NotKnownError(f"there is no row {part.id} in {table.name}")
