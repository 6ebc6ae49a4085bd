"""Takes back a correction of a bird or of the end of a pair, within the caller's transaction."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, select, update

from service.errors import InputError, NotKnownError
from service.nests.book_correction import Subject
from service.nests.nest import Life, Pair, Sex
from service.nests.putting_up import pairing_faults
from service.store.faulty_bird import FaultyBirdError
from service.store.sql_bird_refusals import refuse_bird
from service.store.sql_nest_reading import read_birds, read_pairs, read_places
from service.store.sql_tables import BIRDS, CORRECTIONS, PAIRS, PLACES

_READ: Mapping[str, Callable[[str], Any]] = {
    "sex": Sex,
    "ring": str,
    "name": str,
    "variety": str,
    "hatched_on": date.fromisoformat,
    "sire_id": int,
    "dam_id": int,
    "place": str,
    "life": Life,
    "life_since": date.fromisoformat,
}


def undo(
    connection: Connection, correction_id: int, by: str | None, at: datetime, today: date
) -> None:
    """Put back what stood before it; the correction stays, with who undid it and when.

    Raises:
        NotKnownError: no such correction of a bird or pair.
        InputError: undone already, changed again since, or against the rest of the book.
    """
    asked = select(CORRECTIONS).where(CORRECTIONS.c.id == correction_id)
    row = connection.execute(asked).mappings().first()
    if row is None or row["subject"] not in (Subject.BIRD, Subject.PAIR):
        raise NotKnownError(f"there is no correction {correction_id} of a bird or a pair")
    if row["undone_at"] is not None:
        raise InputError("This change has been undone already.")
    if row["subject"] is Subject.BIRD:
        _undo_bird(connection, row, today)
    else:
        _undo_pair(connection, row)
    undone = update(CORRECTIONS).where(CORRECTIONS.c.id == correction_id)
    connection.execute(undone.values(undone_at=at, undone_by=by))


def _undo_bird(connection: Connection, row: RowMapping, today: date) -> None:
    birds = read_birds(connection)
    fact = row["fact"]
    if row["subject_id"] not in birds or fact not in _READ:
        raise NotKnownError(f"there is no bird {row['subject_id']} with a {fact}")
    bird = birds[row["subject_id"]]
    now = getattr(bird, fact)
    if (None if now is None else str(now)) != row["after"]:
        raise InputError("It has been changed again since: undo the later change first.")
    before = None if row["before"] is None else _READ[fact](row["before"])
    after = replace(bird, **{fact: before})  # type: ignore[arg-type]
    refuse_bird(connection, after, birds, today)
    connection.execute(update(BIRDS).where(BIRDS.c.id == bird.id).values({fact: before}))


def _undo_pair(connection: Connection, row: RowMapping) -> None:
    pairs = read_pairs(connection)
    pair = next((one for one in pairs if one.id == row["subject_id"]), None)
    if pair is None or row["fact"] != "ended_on" or row["before"] is not None:
        raise NotKnownError(f"there is no end of pair {row['subject_id']} to be undone")
    if pair.ended_on is None or pair.ended_on.isoformat() != row["after"]:
        raise InputError("It has been changed again since: undo the later change first.")
    names = {place.id: place.name for place in read_places(connection)}
    others = [one for one in pairs if one.id != pair.id]
    _refuse_to_stand_again(pair, pair.ended_on, others, names)
    connection.execute(update(PAIRS).where(PAIRS.c.id == pair.id).values(ended_on=None))
    moved_on = update(PLACES).where(PLACES.c.within == pair.cage)
    connection.execute(moved_on.values(revision=PLACES.c.revision + 1))


def _refuse_to_stand_again(
    pair: Pair, ended_on: date, others: list[Pair], names: Mapping[str, str]
) -> None:
    if any(one.cage == pair.cage and one.ended_on is None for one in others):
        raise InputError(f"Another pair stands in {names[pair.cage]} by now.")
    faults = pairing_faults(
        pair.cock, pair.hen, cage=pair.cage, on=ended_on, pairs=others, names=names
    )
    if faults:
        raise FaultyBirdError(faults)
