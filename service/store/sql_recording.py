"""One look of the keeper into the book's rows, within the caller's transaction."""

from collections.abc import Iterator, Sequence

from sqlalchemy import Connection, insert, select

from service.errors import NotKnownError
from service.nests.compare_rings import told_rings
from service.nests.nest import Clutch, NestCheck
from service.store.nest_book import ChangedMeanwhileError
from service.store.sql_book_tables import WEIGHINGS
from service.store.sql_check_rows import check_row
from service.store.sql_clutch_writing import boxes_of, put_clutch
from service.store.sql_nest_reading import read_nests
from service.store.sql_rings import refuse_worn_rings
from service.store.sql_rows import boxes_moved_on
from service.store.sql_tables import CHECKS, EGGS


def record(
    connection: Connection,
    check: NestCheck,
    clutches: tuple[Clutch | None, Sequence[Clutch]],
    changes: Sequence[str],
    based_on: int | None,
) -> bool:
    """``clutches`` are the box's own, and those of guests; see ``NestBook.record``."""
    there = select(CHECKS.c.id).where(CHECKS.c.form_id == str(check.form_id))
    if connection.execute(there).first():
        return False
    nests = read_nests(connection, check.box)
    if not nests:
        raise NotKnownError(f"there is no nest box {check.box!r}")
    if based_on is not None and nests[0].revision != based_on:
        raise ChangedMeanwhileError(f"{check.box} was changed by someone else meanwhile")
    clutch, others = clutches
    written = [*([] if clutch is None else [clutch]), *others]
    refuse_worn_rings(connection, _rings(check, written))
    # The others first: one of them may be closed by this look, for the next round of its box.
    for other in others:
        put_clutch(connection, other)
    clutch_id = None if clutch is None else put_clutch(connection, clutch)
    pair = nests[0].pair
    values = check_row(check, changes) | {
        "clutch_id": clutch_id,
        "pair_id": pair.id if pair else None,
    }
    connection.execute(insert(CHECKS).values(values))
    _put_weighings(connection, check, clutch_id)
    # Whoever read a box in which an egg of these clutches lies has read something older.
    boxes_moved_on(connection, {check.box}.union(*(boxes_of(one) for one in written)))
    return True


def _rings(check: NestCheck, clutches: Sequence[Clutch]) -> Iterator[tuple[int, str]]:
    told = told_rings(check)
    for clutch in clutches:
        ids = {egg.number: egg.id for egg in clutch.eggs}
        for chick in clutch.chicks:
            if chick.ring in told:
                yield ids[chick.egg_number], str(chick.ring)


def _put_weighings(connection: Connection, check: NestCheck, clutch_id: int | None) -> None:
    for weighed in check.weighed:
        egg_id = weighed.egg_id
        if egg_id is None:
            asked = select(EGGS.c.id).where(
                EGGS.c.clutch_id == clutch_id, EGGS.c.number == weighed.egg_number
            )
            egg_id = connection.execute(asked).scalar()
        if egg_id is None:
            raise NotKnownError(f"there is no egg {weighed.egg_number} to be weighed")
        values = {"egg_id": egg_id, "at": check.at, "mass_g": weighed.mass_g, "by": check.by}
        connection.execute(insert(WEIGHINGS).values(values))
