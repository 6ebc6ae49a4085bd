"""What a nest's due dates ask beyond its own clutch, for all nests at once.

The hen's clutch before this one, whether the box was taken off or the shed rests, and of
guests the box that they were laid in with its looks. A few questions for the whole shed,
however many boxes.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy import Connection, func, select, tuple_

from service.nests.nest import Clutch, Guest, Nest, NestCheck
from service.nests.season import Season, is_resting
from service.store.sql_book_tables import BOXES_OFF, SEASONS
from service.store.sql_check_rows import check_of
from service.store.sql_clutch_reading import read_clutches
from service.store.sql_nest_rows import place_of
from service.store.sql_tables import CHECKS, CLUTCHES, PAIRS, PLACES


def with_surroundings(connection: Connection, nests: Sequence[Nest]) -> list[Nest]:
    """The nests with ``before``, ``off_since`` and ``resting``, and their guests' homes."""
    before = _clutches_before(connection, nests)
    off: dict[str, datetime] = {
        row.box: row.since for row in connection.execute(select(BOXES_OFF.c.box, BOXES_OFF.c.since))
    }
    resting = _is_resting(connection)
    found = [
        replace(
            nest,
            before=before.get(nest.box.id),
            off_since=off.get(nest.box.id),
            resting=resting,
        )
        for nest in nests
    ]
    if not any(nest.guests for nest in nests):
        return found
    return _with_homes(connection, found)


def _is_resting(connection: Connection) -> bool:
    rows = connection.execute(select(SEASONS)).mappings()
    return is_resting([Season(**row) for row in rows])


def _clutches_before(connection: Connection, nests: Sequence[Nest]) -> dict[str, Clutch]:
    """By the box that is read: the last clutch of its pair's hen before the one it shows."""
    hens = {nest.box.id: nest.pair.hen.id for nest in nests if nest.pair is not None}
    if not hens:
        return {}
    # Her clutch that another box still shows is her last one all the same.
    shown = [
        (nest.pair.hen.id, nest.clutch.id)
        for nest in nests
        if nest.pair is not None and nest.clutch is not None
    ]
    asked = (
        select(PAIRS.c.hen_id, func.max(CLUTCHES.c.id))
        .join(PAIRS, PAIRS.c.id == CLUTCHES.c.pair_id)
        .where(
            PAIRS.c.hen_id.in_(hens.values()), tuple_(PAIRS.c.hen_id, CLUTCHES.c.id).not_in(shown)
        )
        .group_by(PAIRS.c.hen_id)
    )
    last = {row[0]: row[1] for row in connection.execute(asked)}
    if not last:
        return {}
    clutches = {
        clutch.id: clutch for clutch in read_clutches(connection, CLUTCHES.c.id.in_(last.values()))
    }
    return {box: clutches[last[hen]] for box, hen in hens.items() if hen in last}


def _with_homes(connection: Connection, nests: Sequence[Nest]) -> list[Nest]:
    guests = [guest for nest in nests for guest in nest.guests]
    boxes = {guest.clutch.box for guest in guests}
    rows = connection.execute(select(PLACES).where(PLACES.c.id.in_(boxes))).mappings()
    homes = {row["id"]: place_of(row) for row in rows}
    checks: dict[int, list[NestCheck]] = defaultdict(list)
    asked = (
        select(CHECKS)
        .where(CHECKS.c.clutch_id.in_({guest.clutch.id for guest in guests}))
        .order_by(CHECKS.c.at, CHECKS.c.id)
    )
    for row in connection.execute(asked).mappings():
        checks[row["clutch_id"]].append(check_of(row))

    def at_home(guest: Guest) -> Guest:
        return replace(guest, home=homes[guest.clutch.box], checks=tuple(checks[guest.clutch.id]))

    return [replace(nest, guests=tuple(map(at_home, nest.guests))) for nest in nests]
