"""Seasons, their clean-down and boxes that are off, in records.db."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlalchemy import Connection, delete, insert, select, update

from service.errors import InputError, NotKnownError
from service.nests.clean_down import BoxOff, CleanDownTask
from service.nests.place import PlaceKind
from service.nests.season import Season
from service.store.sql_book_tables import BOXES_OFF, CLEAN_DOWN, SEASONS
from service.store.sql_engine import Transactions
from service.store.sql_tables import CHICKS, EGGS, PAIRS, PLACES


class SqlSeasons:
    """Fulfils ``SeasonStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def seasons(self) -> Sequence[Season]:
        return self._transactions.read(_seasons)

    def with_young(self) -> bool:
        return bool(self._transactions.read(lambda connection: connection.execute(_YOUNG).scalar()))

    def open(self, name: str, on: date) -> Season:
        return self._transactions.write(lambda connection: _open(connection, name.strip(), on))

    def take_back(self, season_id: int) -> None:
        self._transactions.write(lambda connection: _take_back(connection, season_id))

    def close(
        self, season_id: int, *, on: date, by: str | None, tasks: Sequence[tuple[str, str]]
    ) -> None:
        self._transactions.write(lambda connection: _close(connection, season_id, on, by, tasks))

    def reopen(self, season_id: int) -> None:
        self._transactions.write(lambda connection: _reopen(connection, season_id))

    def clean_down(self, season_id: int) -> Sequence[CleanDownTask]:
        return self._transactions.read(lambda connection: _tasks(connection, season_id))

    def set_done(
        self, task_ids: Sequence[int], *, done: bool, by: str | None, at: datetime
    ) -> None:
        self._transactions.write(lambda found: _set_done(found, task_ids, at if done else None, by))

    def boxes_off(self) -> Sequence[BoxOff]:
        asked = select(BOXES_OFF).order_by(BOXES_OFF.c.box)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [BoxOff(**row) for row in rows]

    def set_off(self, boxes: Sequence[str], *, off: bool, by: str | None, at: datetime) -> None:
        self._transactions.write(lambda found: _set_off(found, boxes, at if off else None, by))


_YOUNG = select(
    select(EGGS.c.id).where(EGGS.c.fate.is_(None)).exists()
    | select(CHICKS.c.id).where(CHICKS.c.fate.is_(None)).exists()
)


def _seasons(connection: Connection) -> list[Season]:
    asked = select(SEASONS).order_by(SEASONS.c.began_on, SEASONS.c.id)
    return [Season(**row) for row in connection.execute(asked).mappings()]


def _one(connection: Connection, season_id: int) -> tuple[Season, bool]:
    """A season, and whether it is the last."""
    seasons = _seasons(connection)
    for season in seasons:
        if season.id == season_id:
            return season, season is seasons[-1]
    raise NotKnownError(f"there is no season {season_id}")


def _open(connection: Connection, name: str, on: date) -> Season:
    if not name:
        raise InputError("A season needs a name, such as its year.")
    seasons = _seasons(connection)
    if seasons and seasons[-1].closed_on is None:
        raise InputError(f"{seasons[-1].name} goes on; close it before you open another.")
    if seasons and on < (seasons[-1].closed_on or on):
        raise InputError(
            f"{seasons[-1].name} was closed on {seasons[-1].closed_on}; the next can't begin "
            f"before, on {on}."
        )
    if any(season.name == name for season in seasons):
        raise InputError(f"A season of the name {name} is there already.")
    made = connection.execute(insert(SEASONS).values(name=name, began_on=on)).inserted_primary_key
    assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
    return Season(id=int(made[0]), name=name, began_on=on)


def _take_back(connection: Connection, season_id: int) -> None:
    season, last = _one(connection, season_id)
    if not last or season.closed_on is not None or _tasks(connection, season_id):
        raise InputError(f"{season.name} has been closed once; it stays in the book.")
    pairs = select(PAIRS.c.id).where(PAIRS.c.put_up_on >= season.began_on)
    if connection.execute(pairs).first():
        raise InputError(f"A pair was put up in {season.name}; it stays in the book.")
    connection.execute(delete(SEASONS).where(SEASONS.c.id == season_id))


def _close(
    connection: Connection,
    season_id: int,
    on: date,
    by: str | None,
    tasks: Sequence[tuple[str, str]],
) -> None:
    season, _ = _one(connection, season_id)
    if season.closed_on is not None:
        raise InputError(f"{season.name} was closed on {season.closed_on} already.")
    if on < season.began_on:
        raise InputError(f"{season.name} began on {season.began_on}, after {on}.")
    closed = update(SEASONS).where(SEASONS.c.id == season_id).values(closed_on=on, closed_by=by)
    connection.execute(closed)
    there = {(task.place, task.what) for task in _tasks(connection, season_id)}
    new = [
        {"season_id": season_id, "place": place, "what": what}
        for place, what in tasks
        if (place, what) not in there
    ]
    if new:
        connection.execute(insert(CLEAN_DOWN), new)


def _reopen(connection: Connection, season_id: int) -> None:
    season, last = _one(connection, season_id)
    if season.closed_on is None:
        raise InputError(f"{season.name} is not closed.")
    if not last:
        raise InputError(f"Another season has begun since {season.name} was closed.")
    opened = update(SEASONS).where(SEASONS.c.id == season_id)
    connection.execute(opened.values(closed_on=None, closed_by=None))


def _tasks(connection: Connection, season_id: int) -> list[CleanDownTask]:
    asked = select(CLEAN_DOWN).where(CLEAN_DOWN.c.season_id == season_id).order_by(CLEAN_DOWN.c.id)
    return [CleanDownTask(**row) for row in connection.execute(asked).mappings()]


def _set_done(
    connection: Connection, task_ids: Sequence[int], done_at: datetime | None, by: str | None
) -> None:
    for task_id in task_ids:
        which = CLEAN_DOWN.c.id == task_id
        found = connection.execute(select(CLEAN_DOWN.c.done_at).where(which)).first()
        if found is None:
            raise NotKnownError(f"there is no task {task_id}")
        if (found.done_at is None) is not (done_at is None):
            values = {"done_at": done_at, "done_by": by if done_at else None}
            connection.execute(update(CLEAN_DOWN).where(which).values(values))


def _set_off(
    connection: Connection, boxes: Sequence[str], since: datetime | None, by: str | None
) -> None:
    known = select(PLACES.c.id).where(PLACES.c.kind == PlaceKind.BOX)
    unknown = set(boxes) - set(connection.execute(known).scalars())
    if unknown:
        raise NotKnownError(f"there is no nest box {min(unknown)!r}")
    if since is None:
        connection.execute(delete(BOXES_OFF).where(BOXES_OFF.c.box.in_(boxes)))
        _moved_on(connection, boxes)
        return
    there = set(connection.execute(select(BOXES_OFF.c.box)).scalars())
    new = [{"box": box, "since": since, "by": by} for box in boxes if box not in there]
    if new:
        connection.execute(insert(BOXES_OFF), new)
    _moved_on(connection, boxes)


def _moved_on(connection: Connection, boxes: Sequence[str]) -> None:
    moved = update(PLACES).where(PLACES.c.id.in_(boxes))
    connection.execute(moved.values(revision=PLACES.c.revision + 1))
