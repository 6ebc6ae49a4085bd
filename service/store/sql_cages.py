"""Sizes and fit-out of cages, boxes and flights, in records.db."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from sqlalchemy import Connection, delete, insert, select, update

from service.errors import NotKnownError
from service.nests.fit_out import FitOutItem, FitOutSeen, Size
from service.nests.place import PlaceKind
from service.store.sql_book_tables import CAGE_SIZES, FIT_OUT_ITEMS, FIT_OUT_SEEN
from service.store.sql_engine import Transactions
from service.store.sql_tables import PLACES


class SqlCages:
    """Fulfils ``CageStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def sizes(self) -> Mapping[str, Size]:
        asked = select(CAGE_SIZES)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return {
            row["place"]: Size(
                width_cm=row["width_cm"], depth_cm=row["depth_cm"], height_cm=row["height_cm"]
            )
            for row in rows
        }

    def put_sizes(self, sizes: Mapping[str, Size | None]) -> None:
        def write(connection: Connection) -> None:
            for place, size in sizes.items():
                _kind_of(connection, place)
                connection.execute(delete(CAGE_SIZES).where(CAGE_SIZES.c.place == place))
                if size is not None:
                    connection.execute(insert(CAGE_SIZES).values(_size_row(place, size)))

        self._transactions.write(write)

    def items(self) -> Sequence[FitOutItem]:
        asked = select(FIT_OUT_ITEMS).order_by(FIT_OUT_ITEMS.c.kind, FIT_OUT_ITEMS.c.position)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [FitOutItem(**row) for row in rows]

    def put_items(self, kind: PlaceKind, names: Sequence[str]) -> None:
        self._transactions.write(lambda connection: _put_items(connection, kind, names))

    def seen(self) -> Sequence[FitOutSeen]:
        asked = select(FIT_OUT_SEEN).order_by(FIT_OUT_SEEN.c.place, FIT_OUT_SEEN.c.item_id)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [
            FitOutSeen(
                place=row["place"],
                item_id=row["item_id"],
                there=bool(row["there"]),
                at=row["at"],
                by=row["by"],
            )
            for row in rows
        ]

    def put_seen(
        self, place: str, there: Mapping[int, bool], *, by: str | None, at: datetime
    ) -> None:
        def write(connection: Connection) -> None:
            _refuse_foreign_items(connection, place, set(there))
            for item, is_there in there.items():
                which = (FIT_OUT_SEEN.c.place == place) & (FIT_OUT_SEEN.c.item_id == item)
                connection.execute(delete(FIT_OUT_SEEN).where(which))
                row = {
                    "place": place,
                    "item_id": item,
                    "there": int(is_there),
                    "at": at,
                    "by": by,
                }
                connection.execute(insert(FIT_OUT_SEEN).values(row))

        self._transactions.write(write)


def _size_row(place: str, size: Size) -> dict[str, object]:
    return {
        "place": place,
        "width_cm": size.width_cm,
        "depth_cm": size.depth_cm,
        "height_cm": size.height_cm,
    }


def _kind_of(connection: Connection, place: str) -> PlaceKind:
    asked = select(PLACES.c.kind).where(PLACES.c.id == place)
    kind: PlaceKind | None = connection.execute(asked).scalar()
    if kind is None:
        raise NotKnownError(f"there is no place {place!r}")
    return kind


def _refuse_foreign_items(connection: Connection, place: str, items: set[int]) -> None:
    kind = _kind_of(connection, place)
    asked = select(FIT_OUT_ITEMS.c.id).where(FIT_OUT_ITEMS.c.kind == kind)
    unknown = items - set(connection.execute(asked).scalars())
    if unknown:
        raise NotKnownError(f"the fit-out list of a {kind.value} has no item {min(unknown)}")


def _put_items(connection: Connection, kind: PlaceKind, names: Sequence[str]) -> None:
    asked = select(FIT_OUT_ITEMS).where(FIT_OUT_ITEMS.c.kind == kind)
    known = {row["name"]: row["id"] for row in connection.execute(asked).mappings()}
    gone = [item for name, item in known.items() if name not in names]
    connection.execute(delete(FIT_OUT_SEEN).where(FIT_OUT_SEEN.c.item_id.in_(gone)))
    connection.execute(delete(FIT_OUT_ITEMS).where(FIT_OUT_ITEMS.c.id.in_(gone)))
    for position, name in enumerate(names, start=1):
        if name in known:
            moved = update(FIT_OUT_ITEMS).where(FIT_OUT_ITEMS.c.id == known[name])
            connection.execute(moved.values(position=position))
        else:
            row = {"kind": kind, "name": name, "position": position}
            connection.execute(insert(FIT_OUT_ITEMS).values(row))
