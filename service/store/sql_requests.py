"""Requests from pages to watch, in records.db."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, insert, select, update

from service.errors import NotKnownError
from service.store.alarm_store import Request, RequestKind
from service.store.sql_engine import Transactions
from service.store.sql_tables import REQUESTS


class SqlRequests:
    """Fulfils ``RequestStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def ask(
        self,
        kind: RequestKind,
        subject: str,
        *,
        by: str | None,
        at: datetime,
        body: str | None = None,
    ) -> int:
        asked = insert(REQUESTS).values(kind=kind, subject=subject, by=by, at=at, body=body)

        def write(connection: Connection) -> int:
            made = connection.execute(asked).inserted_primary_key
            assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
            return int(made[0])

        return self._transactions.write(write)

    def pending(self) -> Sequence[Request]:
        columns = (
            REQUESTS.c.id,
            REQUESTS.c.kind,
            REQUESTS.c.subject,
            REQUESTS.c.by,
            REQUESTS.c.at,
            REQUESTS.c.body,
        )
        asked = select(*columns).where(REQUESTS.c.settled_at.is_(None)).order_by(REQUESTS.c.id)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [Request(**row) for row in rows]

    def outcome(self, request_id: int) -> str | None:
        asked = select(REQUESTS.c.outcome).where(REQUESTS.c.id == request_id)
        found = self._transactions.read(lambda connection: connection.execute(asked).first())
        if found is None:
            raise NotKnownError(f"there is no request {request_id}")
        told: str | None = found.outcome
        return told

    def settle(self, request_id: int, *, at: datetime, outcome: str) -> None:
        def write(connection: Connection) -> None:
            this = REQUESTS.c.id == request_id
            if connection.execute(select(REQUESTS.c.id).where(this)).first() is None:
                raise NotKnownError(f"there is no request {request_id}")
            # What came of it first stays: a request is carried out once.
            unsettled = this & REQUESTS.c.settled_at.is_(None)
            connection.execute(
                update(REQUESTS).where(unsettled).values(settled_at=at, outcome=outcome)
            )

        self._transactions.write(write)
