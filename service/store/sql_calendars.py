"""The calendar feeds in records.db."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from sqlalchemy import Connection, RowMapping, insert, select, update

from service.errors import NotKnownError
from service.store.calendar_store import CalendarDays, CalendarToken, Revision
from service.store.sql_book_tables import CALENDAR_EVENTS, CALENDAR_TOKENS
from service.store.sql_engine import Transactions


class SqlCalendars:
    """Fulfils ``CalendarStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def add(self, name: str, digest: str, *, by: str | None, at: datetime) -> CalendarToken:
        added = insert(CALENDAR_TOKENS).values(name=name, digest=digest, made_at=at, made_by=by)

        def write(connection: Connection) -> CalendarToken:
            made = connection.execute(added).inserted_primary_key
            assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
            return CalendarToken(id=int(made[0]), name=name, digest=digest, made_at=at, made_by=by)

        return self._transactions.write(write)

    def all(self) -> Sequence[CalendarToken]:
        asked = select(CALENDAR_TOKENS).order_by(CALENDAR_TOKENS.c.id.desc())
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [CalendarToken(**row) for row in rows]

    def found(self, digest: str) -> CalendarToken | None:
        holds = (CALENDAR_TOKENS.c.digest == digest) & CALENDAR_TOKENS.c.revoked_at.is_(None)
        asked = select(CALENDAR_TOKENS).where(holds)
        row = self._transactions.read(lambda found: found.execute(asked).mappings().first())
        return None if row is None else CalendarToken(**row)

    def seen(self, token_id: int, at: datetime) -> None:
        used = update(CALENDAR_TOKENS).where(CALENDAR_TOKENS.c.id == token_id).values(seen_at=at)
        self._transactions.write(lambda connection: connection.execute(used))

    def revoke(self, token_id: int, at: datetime) -> None:
        this = CALENDAR_TOKENS.c.id == token_id

        def write(connection: Connection) -> None:
            if connection.execute(select(CALENDAR_TOKENS.c.id).where(this)).first() is None:
                raise NotKnownError(f"there is no calendar {token_id}")
            held = this & CALENDAR_TOKENS.c.revoked_at.is_(None)
            connection.execute(update(CALENDAR_TOKENS).where(held).values(revoked_at=at))

        self._transactions.write(write)

    def revised(
        self, token_id: int, events: Mapping[str, CalendarDays], at: datetime
    ) -> Mapping[str, Revision]:
        of_token = select(CALENDAR_EVENTS).where(CALENDAR_EVENTS.c.token_id == token_id)
        rows = self._transactions.read(lambda found: found.execute(of_token).mappings().all())
        if not _changed(rows, events):
            return _revisions(rows, events)
        return self._transactions.write(
            lambda connection: _revise(connection, token_id, events, at)
        )


def _changed(rows: Sequence[RowMapping], events: Mapping[str, CalendarDays]) -> bool:
    told = {row["uid"]: row for row in rows}
    return any(uid not in told or _days(told[uid]) != days for uid, days in events.items())


def _revise(
    connection: Connection, token_id: int, events: Mapping[str, CalendarDays], at: datetime
) -> dict[str, Revision]:
    """Read again within the transaction: two may ask at once."""
    of_token = select(CALENDAR_EVENTS).where(CALENDAR_EVENTS.c.token_id == token_id)
    told = {row["uid"]: row for row in connection.execute(of_token).mappings()}
    for uid, days in events.items():
        row = told.get(uid)
        values = {
            "first_day": days.first,
            "last_day": days.last,
            "told": days.told,
            "modified_at": at,
        }
        if row is None:
            new = values | {"token_id": token_id, "uid": uid, "sequence": 0}
            connection.execute(insert(CALENDAR_EVENTS).values(new))
        elif _days(row) != days:
            moved = (row["first_day"], row["last_day"]) != (days.first, days.last)
            this = (CALENDAR_EVENTS.c.token_id == token_id) & (CALENDAR_EVENTS.c.uid == uid)
            values |= {"sequence": row["sequence"] + moved}
            connection.execute(update(CALENDAR_EVENTS).where(this).values(values))
    return _revisions(connection.execute(of_token).mappings().all(), events)


def _days(row: RowMapping) -> CalendarDays:
    return CalendarDays(first=row["first_day"], last=row["last_day"], told=row["told"])


def _revisions(
    rows: Sequence[RowMapping], events: Mapping[str, CalendarDays]
) -> dict[str, Revision]:
    return {
        row["uid"]: Revision(sequence=row["sequence"], modified_at=row["modified_at"])
        for row in rows
        if row["uid"] in events
    }
