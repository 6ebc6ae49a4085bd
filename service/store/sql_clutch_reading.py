"""Clutches with their eggs, chicks and moves, each within the caller's transaction."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import (
    BindParameter,
    ColumnElement,
    Connection,
    RowMapping,
    Select,
    Table,
    bindparam,
    func,
    select,
)

from service.nests.guests import still_shown
from service.nests.nest import ChickFate, Clutch, Egg, EggFate, Guest, Move
from service.store.sql_book_tables import MOVES
from service.store.sql_nest_rows import clutch_of, move_of
from service.store.sql_tables import CHICKS, CLUTCHES, EGGS

Row = RowMapping


def read_clutches(connection: Connection, *which: ColumnElement[bool]) -> list[Clutch]:
    """The clutches that fulfil all of ``which``, in the order in which they were begun."""
    asked = select(CLUTCHES).where(*which).order_by(CLUTCHES.c.id)
    rows = connection.execute(asked).mappings().all()
    ids = [row["id"] for row in rows]
    eggs = _of_clutches(connection, _EGGS_OF, ids)
    chicks = _of_clutches(connection, _CHICKS_OF, ids)
    moves = _moves_of(connection, ids)
    return [clutch_of(row, eggs[row["id"]], chicks[row["id"]], moves) for row in rows]


def last_clutches(connection: Connection, boxes: Sequence[str]) -> dict[str, Clutch]:
    """The open or else the last clutch of each box that ever had one."""
    last = select(func.max(CLUTCHES.c.id)).where(CLUTCHES.c.box.in_(boxes)).group_by(CLUTCHES.c.box)
    return {clutch.box: clutch for clutch in read_clutches(connection, CLUTCHES.c.id.in_(last))}


def guests_in(
    connection: Connection,
    boxes: Sequence[str],
    shown: Mapping[str, Clutch],
    since: Mapping[str, datetime | None],
) -> dict[str, list[Guest]]:
    """Eggs and chicks of other clutches that lie in each box, by when they came: moved in, or
    left of the round before.

    ``shown`` is the clutch that each box shows: its own eggs are no guests, even when they
    were away and came back. ``since`` is from when on it shows those whose story ended there:
    the others, however many seasons left behind, are not read.
    """
    rows = connection.execute(_LYING_IN, {"boxes": list(boxes)}).mappings()
    egg_ids = {row["egg_id"] for row in rows if _is_shown(row, since.get(row["to_box"]))}
    egg_ids |= _of_rounds_before(connection, shown)
    found: dict[str, list[Guest]] = defaultdict(list)
    if not egg_ids:
        return found
    of_eggs = CLUTCHES.c.id.in_(select(EGGS.c.clutch_id).where(EGGS.c.id.in_(egg_ids)))
    for clutch in read_clutches(connection, of_eggs):
        for egg in clutch.eggs:
            box = egg.box(clutch.box)
            its_own = box in shown and shown[box].id == clutch.id
            if egg.id in egg_ids and box in boxes and not its_own:
                found[box].append(_guest(clutch, egg))
    for guests in found.values():
        guests.sort(key=_when_it_came)
    return found


def _of_rounds_before(connection: Connection, shown: Mapping[str, Clutch]) -> set[int]:
    """What still lives of a clutch over which its pair began the next round, that is shown."""
    ids = [clutch.id for clutch in shown.values()]
    return set(connection.execute(_LIVING_ON, {"ids": ids}).scalars())


def _when_it_came(guest: Guest) -> tuple[datetime, int]:
    moves = guest.egg.moves
    return (moves[-1].at if moves else guest.egg.laid_to, guest.egg.id)


def _is_shown(row: Row, since: datetime | None) -> bool:
    hatched = row["fate"] is EggFate.HATCHED
    if (row["chick_fate"] if hatched else row["fate"]) is None:
        return True
    ended = row["fate_at"] if hatched else row["fate_to"]
    return still_shown(ended, since, came_out=row["chick_fate"] is ChickFate.FLEDGED)


def _guest(clutch: Clutch, egg: Egg) -> Guest:
    chicks = (chick for chick in clutch.chicks if chick.egg_number == egg.number)
    return Guest(clutch=clutch, egg=egg, chick=next(chicks, None))


def _moves_of(connection: Connection, clutch_ids: Iterable[int]) -> dict[int, tuple[Move, ...]]:
    found: dict[int, tuple[Move, ...]] = defaultdict(tuple)
    for row in connection.execute(_MOVES_OF, {"ids": list(clutch_ids)}).mappings():
        found[row["egg_id"]] += (move_of(row),)
    return found


def _of_clutches(
    connection: Connection, asked: Select[Any], ids: Sequence[int]
) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = defaultdict(list)
    for row in connection.execute(asked, {"ids": list(ids)}).mappings():
        found[row["clutch_id"]].append(row)
    return found


def _parts(table: Table, order: str) -> Select[Any]:
    return select(table).where(table.c.clutch_id.in_(_IDS)).order_by(table.c[order])


def _lying_in() -> Select[Any]:
    """The eggs whose last move led into one of the boxes, and what became of them."""
    later = MOVES.alias()
    moved_on = select(later.c.id).where(
        later.c.egg_id == MOVES.c.egg_id,
        (later.c.at > MOVES.c.at) | ((later.c.at == MOVES.c.at) & (later.c.id > MOVES.c.id)),
    )
    boxes: BindParameter[str] = bindparam("boxes", expanding=True)
    its_chick = (CHICKS.c.clutch_id == EGGS.c.clutch_id) & (CHICKS.c.egg_number == EGGS.c.number)
    return (
        select(
            MOVES.c.egg_id,
            MOVES.c.to_box,
            EGGS.c.fate,
            EGGS.c.fate_to,
            CHICKS.c.fate.label("chick_fate"),
            CHICKS.c.fate_at,
        )
        .join(EGGS, EGGS.c.id == MOVES.c.egg_id)
        .outerjoin(CHICKS, its_chick)
        .where(MOVES.c.to_box.in_(boxes), ~moved_on.exists())
    )


def _living_on() -> Select[Any]:
    next_one = CLUTCHES.alias()
    its_chick = (CHICKS.c.clutch_id == EGGS.c.clutch_id) & (CHICKS.c.egg_number == EGGS.c.number)
    lives = EGGS.c.fate.is_(None) | (CHICKS.c.id.is_not(None) & CHICKS.c.fate.is_(None))
    return (
        select(EGGS.c.id)
        .join(CLUTCHES, CLUTCHES.c.id == EGGS.c.clutch_id)
        .join(next_one, next_one.c.pair_id == CLUTCHES.c.pair_id)
        .outerjoin(CHICKS, its_chick)
        .where(next_one.c.id.in_(_IDS), next_one.c.box == CLUTCHES.c.box)
        .where(CLUTCHES.c.round < next_one.c.round, lives)
    )


# Made once: nests are read with every page, and to put a question together takes longer than
# SQLite takes to answer it.
_IDS: BindParameter[int] = bindparam("ids", expanding=True)
_EGGS_OF = _parts(EGGS, "number")
_CHICKS_OF = _parts(CHICKS, "egg_number")
_MOVES_OF = (
    select(MOVES)
    .join(EGGS, EGGS.c.id == MOVES.c.egg_id)
    .where(EGGS.c.clutch_id.in_(_IDS))
    .order_by(MOVES.c.at, MOVES.c.id)
)
_LYING_IN = _lying_in()
_LIVING_ON = _living_on()
