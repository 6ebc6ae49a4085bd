"""What runs low, in records.db."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, select, update

from service.errors import InputError, NotKnownError
from service.nests.running_low import LONGEST_WORDS, RunningLow
from service.nests.typed_text import text_fault
from service.store.sql_duty_tables import RUNNING_LOW
from service.store.sql_engine import Transactions
from service.store.sql_rows import insert_row


class SqlRunningLow:
    """Fulfils ``RunningLowStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def open(self) -> Sequence[RunningLow]:
        return self._transactions.read(_open)

    def earlier(self, limit: int = 12) -> Sequence[str]:
        def read(connection: Connection) -> list[str]:
            there = {one.what.casefold() for one in _open(connection)}
            asked = select(RUNNING_LOW.c.what).where(RUNNING_LOW.c.struck_at.is_not(None))
            found: dict[str, str] = {}
            for what in connection.execute(asked.order_by(RUNNING_LOW.c.id.desc())).scalars():
                if what.casefold() not in there:
                    found.setdefault(what.casefold(), what)
            return list(found.values())[:limit]

        return self._transactions.read(read)

    def add(self, what: str, *, at: datetime, by: str | None) -> RunningLow:
        words = " ".join(what.split())
        if not words:
            raise InputError("What runs low? Say it in a word or two.")
        if (fault := text_fault(words, LONGEST_WORDS)) is not None:
            raise InputError(f"What runs low: {fault}.")

        def write(connection: Connection) -> RunningLow:
            for one in _open(connection):
                if one.what.casefold() == words.casefold():
                    return one
            row = {"what": words, "added_at": at, "added_by": by}
            made = insert_row(connection, RUNNING_LOW, row)
            return RunningLow(id=made, what=words, added_at=at, added_by=by)

        return self._transactions.write(write)

    def strike(self, low_id: int, *, at: datetime, by: str | None) -> None:
        def write(connection: Connection) -> None:
            _refuse_unknown(connection, low_id)
            still = (RUNNING_LOW.c.id == low_id) & RUNNING_LOW.c.struck_at.is_(None)
            connection.execute(update(RUNNING_LOW).where(still).values(struck_at=at, struck_by=by))

        self._transactions.write(write)

    def put_back(self, low_id: int) -> None:
        def write(connection: Connection) -> None:
            what = _refuse_unknown(connection, low_id)
            if any(one.what.casefold() == what.casefold() for one in _open(connection)):
                return
            this = update(RUNNING_LOW).where(RUNNING_LOW.c.id == low_id)
            connection.execute(this.values(struck_at=None, struck_by=None))

        self._transactions.write(write)


def _open(connection: Connection) -> list[RunningLow]:
    asked = select(RUNNING_LOW).where(RUNNING_LOW.c.struck_at.is_(None)).order_by(RUNNING_LOW.c.id)
    return [RunningLow(**row) for row in connection.execute(asked).mappings()]


def _refuse_unknown(connection: Connection, low_id: int) -> str:
    asked = select(RUNNING_LOW.c.what).where(RUNNING_LOW.c.id == low_id)
    what: str | None = connection.execute(asked).scalar()
    if what is None:
        raise NotKnownError("that was never on the list of what runs low")
    return what
