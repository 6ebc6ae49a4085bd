"""Treatments against mites and mould, in records.db."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, select, update

from service.errors import InputError, NotKnownError
from service.nests.treatment import LONGEST_WORDS, Against, Treatment
from service.nests.typed_text import text_fault
from service.store.sql_air_tables import TREATMENTS
from service.store.sql_engine import Transactions
from service.store.sql_rows import insert_row


class SqlTreatments:
    """Fulfils ``TreatmentStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def treatments(self) -> Sequence[Treatment]:
        asked = select(TREATMENTS).order_by(TREATMENTS.c.at, TREATMENTS.c.id)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [_treatment(row) for row in rows]

    def tell(
        self,
        place: str,
        against: Against,
        *,
        at: datetime,
        words: str = "",
        by: str | None,
        form_id: UUID,
    ) -> Treatment:
        said = " ".join(words.split())
        if (fault := text_fault(said, LONGEST_WORDS)) is not None:
            raise InputError(f"What was used: {fault}.")

        def write(connection: Connection) -> Treatment:
            asked = select(TREATMENTS).where(TREATMENTS.c.form_id == str(form_id))
            there = connection.execute(asked).mappings().first()
            if there is not None:
                return _treatment(there)
            row = {
                "form_id": str(form_id),
                "place": place,
                "against": against.value,
                "at": at,
                "words": said,
                "by": by,
            }
            made = insert_row(connection, TREATMENTS, row)
            return Treatment(
                id=made, place=place, against=against, at=at, words=said, by=by, form_id=form_id
            )

        return self._transactions.write(write)

    def undo(self, treatment_id: int, *, at: datetime, by: str | None) -> None:
        def write(connection: Connection) -> None:
            _refuse_unknown(connection, treatment_id)
            still = (TREATMENTS.c.id == treatment_id) & TREATMENTS.c.undone_at.is_(None)
            connection.execute(update(TREATMENTS).where(still).values(undone_at=at, undone_by=by))

        self._transactions.write(write)

    def put_back(self, treatment_id: int) -> None:
        def write(connection: Connection) -> None:
            _refuse_unknown(connection, treatment_id)
            this = update(TREATMENTS).where(TREATMENTS.c.id == treatment_id)
            connection.execute(this.values(undone_at=None, undone_by=None))

        self._transactions.write(write)


def _treatment(row: Mapping[Any, Any]) -> Treatment:
    told = dict(row)
    told["against"] = Against(told["against"])
    told["form_id"] = None if told["form_id"] is None else UUID(told["form_id"])
    return Treatment(**told)


def _refuse_unknown(connection: Connection, treatment_id: int) -> None:
    asked = select(TREATMENTS.c.id).where(TREATMENTS.c.id == treatment_id)
    if connection.execute(asked).scalar() is None:
        raise NotKnownError("that treatment was never told")
