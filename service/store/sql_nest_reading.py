"""Questions to the nest book's tables, each within the caller's transaction."""

from collections import defaultdict
from collections.abc import Sequence

from sqlalchemy import Connection, RowMapping, Table, func, or_, select

from service.nests.nest import Bird, Clutch, Nest, Pair
from service.nests.place import Place, PlaceKind
from service.store.sql_nest_rows import bird_of, check_of, clutch_of, pair_of, place_of
from service.store.sql_tables import BIRDS, CHECKS, CHICKS, CLUTCHES, EGGS, PAIRS, PLACES

Row = RowMapping


def read_places(connection: Connection) -> list[Place]:
    """All places in walking order."""
    asked = select(PLACES).order_by(PLACES.c.walking_order, PLACES.c.id)
    return [place_of(row) for row in connection.execute(asked).mappings()]


def read_birds(connection: Connection) -> dict[int, Bird]:
    """All birds by id."""
    rows = connection.execute(select(BIRDS).order_by(BIRDS.c.id)).mappings()
    return {row["id"]: bird_of(row) for row in rows}


def read_pairs(connection: Connection) -> list[Pair]:
    """All pairs, newest first."""
    birds = read_birds(connection)
    asked = select(PAIRS).order_by(PAIRS.c.put_up_on.desc(), PAIRS.c.id.desc())
    return [pair_of(row, birds) for row in connection.execute(asked).mappings()]


def read_nests(connection: Connection, box: str | None = None) -> list[Nest]:
    """Every box in walking order (or the one named) with its open or last clutch."""
    asked = select(PLACES).where(PLACES.c.kind == PlaceKind.BOX)
    if box is not None:
        asked = asked.where(PLACES.c.id == box)
    rows = connection.execute(asked.order_by(PLACES.c.walking_order, PLACES.c.id)).mappings()
    boxes = [(place_of(row), row["revision"]) for row in rows]
    pairs = {pair.cage: pair for pair in read_pairs(connection) if pair.ended_on is None}
    clutches = _last_clutches(connection, [place.id for place, _ in boxes])
    return [
        _nest(connection, place, revision, pairs.get(place.within or ""), clutches.get(place.id))
        for place, revision in boxes
    ]


def _last_clutches(connection: Connection, boxes: Sequence[str]) -> dict[str, Clutch]:
    last = select(func.max(CLUTCHES.c.id)).where(CLUTCHES.c.box.in_(boxes)).group_by(CLUTCHES.c.box)
    rows = connection.execute(select(CLUTCHES).where(CLUTCHES.c.id.in_(last))).mappings().all()
    ids = [row["id"] for row in rows]
    eggs = _of_clutches(connection, EGGS, ids, "number")
    chicks = _of_clutches(connection, CHICKS, ids, "egg_number")
    return {row["box"]: clutch_of(row, eggs[row["id"]], chicks[row["id"]]) for row in rows}


def _of_clutches(
    connection: Connection, table: Table, ids: Sequence[int], order: str
) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = defaultdict(list)
    asked = select(table).where(table.c.clutch_id.in_(ids)).order_by(table.c[order])
    for row in connection.execute(asked).mappings():
        found[row["clutch_id"]].append(row)
    return found


def _nest(
    connection: Connection, box: Place, revision: int, pair: Pair | None, clutch: Clutch | None
) -> Nest:
    of_clutch = CHECKS.c.clutch_id == (clutch.id if clutch else 0)
    since_then = CHECKS.c.clutch_id.is_(None) & (CHECKS.c.pair_id == (pair.id if pair else 0))
    asked = (
        select(CHECKS)
        .where(CHECKS.c.box == box.id, or_(of_clutch, since_then))
        .order_by(CHECKS.c.at, CHECKS.c.id)
    )
    checks = tuple(check_of(row) for row in connection.execute(asked).mappings())
    return Nest(box=box, pair=pair, clutch=clutch, checks=checks, revision=revision)
