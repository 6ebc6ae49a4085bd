"""Nights, models and outlooks, in records.db."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from sqlalchemy import Connection, Table, delete, insert, select
from sqlalchemy.sql.elements import ColumnElement

from service.store.outlook_store import (
    MOST_MODELS,
    MOST_NIGHTS,
    KeptModel,
    KeptNight,
    KeptOutlook,
)
from service.store.sql_air_tables import (
    OUTLOOK_MODELS,
    OUTLOOK_NIGHTS,
    OUTLOOKS,
    SURFACE_LOOKS,
)
from service.store.sql_engine import Transactions


class SqlOutlook:
    """Fulfils ``OutlookStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def put_nights(self, nights: Sequence[KeptNight]) -> None:
        if not nights:
            return
        evenings = [one.evening for one in nights]
        rows = [{"evening": one.evening, "body": one.body} for one in nights]

        def write(connection: Connection) -> None:
            there = OUTLOOK_NIGHTS.c.evening.in_(evenings)
            connection.execute(delete(OUTLOOK_NIGHTS).where(there))
            connection.execute(insert(OUTLOOK_NIGHTS), rows)
            _keep_newest(connection, OUTLOOK_NIGHTS, OUTLOOK_NIGHTS.c.evening, MOST_NIGHTS)
            oldest = select(OUTLOOK_NIGHTS.c.evening).order_by(OUTLOOK_NIGHTS.c.evening).limit(1)
            connection.execute(delete(OUTLOOKS).where(OUTLOOKS.c.night < oldest.scalar_subquery()))

        self._transactions.write(write)

    def nights(self, since: date | None = None) -> Sequence[KeptNight]:
        asked = select(OUTLOOK_NIGHTS).order_by(OUTLOOK_NIGHTS.c.evening)
        if since is not None:
            asked = asked.where(OUTLOOK_NIGHTS.c.evening >= since)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [KeptNight(**row) for row in rows]

    def put_model(self, model: KeptModel) -> None:
        row = {"fitted_at": model.fitted_at, "body": model.body}

        def write(connection: Connection) -> None:
            connection.execute(insert(OUTLOOK_MODELS).values(row))
            _keep_newest(connection, OUTLOOK_MODELS, OUTLOOK_MODELS.c.id, MOST_MODELS)

        self._transactions.write(write)

    def model(self, at: datetime) -> KeptModel | None:
        asked = (
            select(OUTLOOK_MODELS.c.fitted_at, OUTLOOK_MODELS.c.body)
            .where(OUTLOOK_MODELS.c.fitted_at <= at)
            .order_by(OUTLOOK_MODELS.c.fitted_at.desc(), OUTLOOK_MODELS.c.id.desc())
            .limit(1)
        )
        row = self._transactions.read(lambda found: found.execute(asked).mappings().first())
        return None if row is None else KeptModel(**row)

    def put_outlook(self, outlook: KeptOutlook) -> None:
        row = {"night": outlook.night, "issued_at": outlook.issued_at, "body": outlook.body}

        def write(connection: Connection) -> None:
            again = OUTLOOKS.c.issued_at == outlook.issued_at
            connection.execute(delete(OUTLOOKS).where(again))
            connection.execute(insert(OUTLOOKS).values(row))

        self._transactions.write(write)

    def outlook(self, at: datetime) -> KeptOutlook | None:
        found = self._outlooks(OUTLOOKS.c.issued_at <= at, newest_only=True)
        return found[0] if found else None

    def outlooks(self, night: date) -> Sequence[KeptOutlook]:
        return self._outlooks(OUTLOOKS.c.night == night, newest_only=False)

    def tell_look(self, evening: date, *, wet: bool, by: str | None, at: datetime) -> None:
        row = {"evening": evening, "wet": int(wet), "by": by, "at": at}

        def write(connection: Connection) -> None:
            connection.execute(delete(SURFACE_LOOKS).where(SURFACE_LOOKS.c.evening == evening))
            connection.execute(insert(SURFACE_LOOKS).values(row))

        self._transactions.write(write)

    def looks(self) -> Mapping[date, bool]:
        asked = select(SURFACE_LOOKS.c.evening, SURFACE_LOOKS.c.wet)
        rows = self._transactions.read(lambda found: found.execute(asked).all())
        return {evening: bool(wet) for evening, wet in rows}

    def _outlooks(self, which: ColumnElement[bool], *, newest_only: bool) -> list[KeptOutlook]:
        asked = select(OUTLOOKS.c.night, OUTLOOKS.c.issued_at, OUTLOOKS.c.body).where(which)
        asked = (
            asked.order_by(OUTLOOKS.c.issued_at.desc()).limit(1)
            if newest_only
            else asked.order_by(OUTLOOKS.c.issued_at)
        )
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [KeptOutlook(**row) for row in rows]


def _keep_newest(
    connection: Connection, table: Table, key: ColumnElement[object], most: int
) -> None:
    newest = select(key).order_by(key.desc()).limit(most)
    connection.execute(delete(table).where(key.not_in(newest)))
