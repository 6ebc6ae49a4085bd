"""How long visits took, in records.db."""

from collections.abc import Sequence
from datetime import date, datetime
from uuid import UUID

from sqlalchemy import Connection, RowMapping, insert, select, update

from service.errors import InputError, NotKnownError
from service.nests.duty import Visit
from service.nests.nest import NestCheck
from service.nests.workload.timed_visit import LONGEST, TimedVisit
from service.store.sql_check_rows import check_of
from service.store.sql_duty_tables import VISITS
from service.store.sql_engine import Transactions
from service.store.sql_tables import CHECKS


class SqlVisitTimes:
    """Fulfils ``VisitTimeStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def begin(
        self, day: date, visit: Visit, *, at: datetime, by: str | None, form_id: UUID
    ) -> TimedVisit:
        values = {
            "form_id": str(form_id),
            "day": day,
            "visit": visit,
            "began_at": at,
            "began_by": by,
        }
        return self._transactions.write(lambda found: _begin(found, values, at))

    def end(self, visit_id: int, *, at: datetime, by: str | None) -> TimedVisit:
        return self._transactions.write(lambda found: _end(found, visit_id, at, by))

    def going_on(self, at: datetime) -> TimedVisit | None:
        return self._transactions.read(lambda found: _going_on(found, at))

    def visits(self, since: date, until: date | None = None) -> Sequence[TimedVisit]:
        asked = select(VISITS).where(VISITS.c.day >= since).order_by(VISITS.c.began_at)
        if until is not None:
            asked = asked.where(VISITS.c.day < until)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [_visit(row) for row in rows]

    def looks(self, since: datetime) -> Sequence[NestCheck]:
        asked = select(CHECKS).where(CHECKS.c.at >= since).order_by(CHECKS.c.at, CHECKS.c.id)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [check_of(row) for row in rows]


def _begin(connection: Connection, values: dict[str, object], at: datetime) -> TimedVisit:
    of_form = select(VISITS).where(VISITS.c.form_id == values["form_id"])
    sent_before = connection.execute(of_form).mappings().first()
    if sent_before is not None:
        return _visit(sent_before)
    going_on = _going_on(connection, at)
    if going_on is not None:
        return going_on
    connection.execute(insert(VISITS).values(values))
    return _visit(connection.execute(of_form).mappings().one())


def _end(connection: Connection, visit_id: int, at: datetime, by: str | None) -> TimedVisit:
    asked = select(VISITS).where(VISITS.c.id == visit_id)
    found = connection.execute(asked).mappings().first()
    if found is None:
        raise NotKnownError(f"there is no timed visit {visit_id}")
    if found["ended_at"] is not None:
        return _visit(found)
    if at < found["began_at"]:
        raise InputError(f"The visit began at {found['began_at']}; it can't end before, at {at}.")
    ended = update(VISITS).where(VISITS.c.id == visit_id).values(ended_at=at, ended_by=by)
    connection.execute(ended)
    return _visit(connection.execute(asked).mappings().one())


def _going_on(connection: Connection, at: datetime) -> TimedVisit | None:
    asked = (
        select(VISITS)
        .where(VISITS.c.ended_at.is_(None), VISITS.c.began_at >= at - LONGEST)
        .order_by(VISITS.c.began_at.desc(), VISITS.c.id.desc())
    )
    found = connection.execute(asked).mappings().first()
    return None if found is None else _visit(found)


def _visit(row: RowMapping) -> TimedVisit:
    return TimedVisit(**{name: value for name, value in row.items() if name != "form_id"})
