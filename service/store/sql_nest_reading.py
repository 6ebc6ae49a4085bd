"""Questions to the nest book's tables, each within the caller's transaction."""

from dataclasses import replace

from sqlalchemy import ColumnElement, Connection, or_, select

from service.nests.guests import shown_with
from service.nests.nest import Bird, Nest, Pair
from service.nests.place import Place, PlaceKind
from service.nests.weighing import Weighing
from service.store.sql_book_tables import WEIGHINGS
from service.store.sql_check_rows import check_of
from service.store.sql_clutch_reading import guests_in, last_clutches
from service.store.sql_nest_rows import bird_of, pair_of, place_of
from service.store.sql_tables import BIRDS, CHECKS, CHICKS, EGGS, PAIRS, PLACES


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
    ids = [place.id for place, _ in boxes]
    clutches = last_clutches(connection, ids)
    guests = guests_in(connection, ids, clutches)
    return [
        _nest(
            connection,
            Nest(
                box=place,
                pair=pairs.get(place.within or ""),
                clutch=clutches.get(place.id),
                guests=tuple(guests[place.id]),
                revision=revision,
            ),
        )
        for place, revision in boxes
    ]


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


def _nest(connection: Connection, nest: Nest) -> Nest:
    """With its checks, and without the guests of times gone by."""
    of_clutch = CHECKS.c.clutch_id == (nest.clutch.id if nest.clutch else 0)
    since_then = CHECKS.c.clutch_id.is_(None) & (
        CHECKS.c.pair_id == (nest.pair.id if nest.pair else 0)
    )
    asked = (
        select(CHECKS)
        .where(CHECKS.c.box == nest.box.id, or_(of_clutch, since_then))
        .order_by(CHECKS.c.at, CHECKS.c.id)
    )
    checks = tuple(check_of(row) for row in connection.execute(asked).mappings())
    guests = tuple(guest for guest in nest.guests if shown_with(nest, guest))
    return replace(nest, checks=checks, guests=guests)
