"""Questions to the nest book's tables, each within the caller's transaction."""

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import ColumnElement, Connection, RowMapping, bindparam, or_, select

from service.nests.guests import shown_since
from service.nests.nest import Bird, Nest, NestCheck, Pair
from service.nests.place import Place, PlaceKind
from service.nests.weighing import Weighing
from service.store.sql_book_tables import WEIGHINGS
from service.store.sql_check_rows import check_of
from service.store.sql_clutch_reading import guests_in, last_clutches
from service.store.sql_nest_rows import bird_of, pair_of, place_of
from service.store.sql_nest_surroundings import with_surroundings
from service.store.sql_tables import BIRDS, CHECKS, CHICKS, EGGS, PAIRS, PLACES


def read_places(connection: Connection) -> list[Place]:
    """All places in walking order."""
    return [place_of(row) for row in connection.execute(_PLACES).mappings()]


def read_birds(connection: Connection) -> dict[int, Bird]:
    """All birds by id."""
    rows = connection.execute(_BIRDS).mappings()
    return {row["id"]: bird_of(row) for row in rows}


def read_pairs(connection: Connection) -> list[Pair]:
    """All pairs, newest first."""
    birds = read_birds(connection)
    return [pair_of(row, birds) for row in connection.execute(_PAIRS).mappings()]


def _standing_pairs(connection: Connection) -> list[Pair]:
    """Pairs that have not ended, without reading all birds there ever were."""
    rows = connection.execute(_STANDING).mappings().all()
    ids = {row[bird] for row in rows for bird in ("cock_id", "hen_id")}
    found = connection.execute(_BIRDS_OF, {"ids": list(ids)}).mappings()
    birds = {row["id"]: bird_of(row) for row in found}
    return [pair_of(row, birds) for row in rows]


def read_nests(connection: Connection, box: str | None = None) -> list[Nest]:
    """Every box in walking order (or the one named) with its open or last clutch."""
    asked = select(PLACES).where(PLACES.c.kind == PlaceKind.BOX)
    if box is not None:
        asked = asked.where(PLACES.c.id == box)
    rows = connection.execute(asked.order_by(PLACES.c.walking_order, PLACES.c.id)).mappings()
    boxes = [(place_of(row), row["revision"]) for row in rows]
    pairs = {pair.cage: pair for pair in _standing_pairs(connection)}
    ids = [place.id for place, _ in boxes]
    clutches = last_clutches(connection, ids)
    since = {
        place.id: shown_since(clutches.get(place.id), pairs.get(place.within or ""))
        for place, _ in boxes
    }
    guests = guests_in(connection, ids, clutches, since)
    nests = [
        Nest(
            box=place,
            pair=pairs.get(place.within or ""),
            clutch=clutches.get(place.id),
            guests=tuple(guests[place.id]),
            revision=revision,
        )
        for place, revision in boxes
    ]
    return with_surroundings(connection, _with_checks(connection, nests))


def read_weighings(connection: Connection, *which: ColumnElement[bool]) -> list[Weighing]:
    """The weighings that fulfil all of ``which``, oldest first."""
    asked = select(WEIGHINGS).where(*which).order_by(WEIGHINGS.c.at, WEIGHINGS.c.id)
    return [Weighing(**row) for row in connection.execute(asked).mappings()]


def read_weighings_of_bird(connection: Connection, bird_id: int) -> list[Weighing]:
    """Of a bird, and of the chick in this book that it was, oldest first."""
    hatched_from = (
        select(EGGS.c.id)
        .join(
            CHICKS,
            (CHICKS.c.clutch_id == EGGS.c.clutch_id) & (CHICKS.c.egg_number == EGGS.c.number),
        )
        .where(CHICKS.c.bird_id == bird_id)
    )
    of_bird = (WEIGHINGS.c.bird_id == bird_id) | WEIGHINGS.c.egg_id.in_(hatched_from)
    return read_weighings(connection, of_bird)


def _with_checks(connection: Connection, nests: Sequence[Nest]) -> list[Nest]:
    """With their checks, asked for all at once."""
    by_box = {nest.box.id: nest for nest in nests}
    clutches = [nest.clutch.id for nest in nests if nest.clutch is not None]
    pairs = [nest.pair.id for nest in nests if nest.pair is not None]
    since_then = CHECKS.c.clutch_id.is_(None) & CHECKS.c.pair_id.in_(pairs)
    asked = (
        select(CHECKS)
        .where(CHECKS.c.box.in_(by_box), or_(CHECKS.c.clutch_id.in_(clutches), since_then))
        .order_by(CHECKS.c.at, CHECKS.c.id)
    )
    checks: dict[str, list[NestCheck]] = {box: [] for box in by_box}
    for row in connection.execute(asked).mappings():
        if _belongs(row, by_box[row["box"]]):
            checks[row["box"]].append(check_of(row))
    return [replace(nest, checks=tuple(checks[nest.box.id])) for nest in nests]


def _belongs(row: RowMapping, nest: Nest) -> bool:
    """To the clutch that is shown, or to the present pair since then."""
    if row["clutch_id"] is not None:
        return nest.clutch is not None and row["clutch_id"] == nest.clutch.id
    return nest.pair is not None and row["pair_id"] == nest.pair.id


# Made once: to put a question together takes longer than SQLite takes to answer it.
_PLACES = select(PLACES).order_by(PLACES.c.walking_order, PLACES.c.id)
_BIRDS = select(BIRDS).order_by(BIRDS.c.id)
_PAIRS = select(PAIRS).order_by(PAIRS.c.put_up_on.desc(), PAIRS.c.id.desc())
_STANDING = _PAIRS.where(PAIRS.c.ended_on.is_(None))
_BIRDS_OF = select(BIRDS).where(BIRDS.c.id.in_(bindparam("ids", expanding=True)))
