"""Takes places out of the nest book, where nothing was ever written of them."""

from collections.abc import Sequence

from sqlalchemy import Connection, delete, select

from service.errors import InputError
from service.store.sql_book_tables import (
    BOXES_OFF,
    CAGE_SIZES,
    CLEAN_DOWN,
    FIT_OUT_SEEN,
    MOVES,
)
from service.store.sql_tables import BIRDS, CHECKS, CLUTCHES, PAIRS, PLACES

_HISTORY = (
    (PAIRS.c.cage, "a pair was put up there"),
    (CLUTCHES.c.box, "it had a clutch"),
    (CHECKS.c.box, "it was looked into"),
    (MOVES.c.from_box, "an egg or a chick was moved from there"),
    (MOVES.c.to_box, "an egg or a chick was moved there"),
    (BIRDS.c.place, "a bird lives, or lived, there"),
)


def remove_places(connection: Connection, places: Sequence[str]) -> None:
    """Within the caller's transaction.

    Raises:
        InputError: something is known of one of them, or another place stands in it.
    """
    for place in places:
        for column, words in _HISTORY:
            if connection.execute(select(column).where(column == place).limit(1)).first():
                raise InputError(f"{place} can't be removed: {words}, and the nest book keeps that")
    standing = select(PLACES.c.id, PLACES.c.within).where(
        PLACES.c.within.in_(places) & PLACES.c.id.not_in(places)
    )
    for inner, around in connection.execute(standing):
        raise InputError(f"{around} can't be removed: {inner} stands in it")
    # What a place is like goes with it; what happened there would have kept it.
    for told in (CAGE_SIZES.c.place, FIT_OUT_SEEN.c.place, CLEAN_DOWN.c.place, BOXES_OFF.c.box):
        connection.execute(delete(told.table).where(told.in_(places)))
    connection.execute(delete(PLACES).where(PLACES.c.id.in_(places)))
