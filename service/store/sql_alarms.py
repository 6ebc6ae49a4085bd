"""Alarms in records.db."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from sqlalchemy import Connection, RowMapping, delete, insert, select

from service.alarms.alarm import Alarm, AlarmState
from service.alarms.journal import JournalLine
from service.alarms.suppression import Suppression
from service.store.sql_alarm_tables import ALARM_JOURNAL, SUPPRESSIONS
from service.store.sql_engine import Transactions
from service.store.sql_replace import replace_rows
from service.store.sql_tables import ALARMS


class SqlAlarms:
    """Fulfils ``AlarmStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def open_alarms(self) -> Sequence[Alarm]:
        asked = (
            select(ALARMS)
            .where(ALARMS.c.state != AlarmState.NORMAL)
            .order_by(ALARMS.c.raised_at, ALARMS.c.id)
        )
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [_alarm(row) for row in rows]

    def alarms(self, since: datetime | None, until: datetime | None) -> Sequence[Alarm]:
        asked = select(ALARMS).order_by(ALARMS.c.raised_at.desc(), ALARMS.c.id)
        if since is not None:
            asked = asked.where(ALARMS.c.raised_at >= since)
        if until is not None:
            asked = asked.where(ALARMS.c.raised_at < until)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [_alarm(row) for row in rows]

    def put(
        self,
        alarms: Sequence[Alarm],
        *,
        lines: Sequence[JournalLine] = (),
        suppressions: Sequence[Suppression] = (),
        lifted: Sequence[str] = (),
    ) -> None:
        rows = [asdict(alarm) | {"latching": int(alarm.latching)} for alarm in alarms]
        told = [asdict(line) for line in lines]
        wishes = [asdict(one) | {"one_shot": int(one.one_shot)} for one in suppressions]
        if not (rows or told or wishes or lifted):
            return

        def write(connection: Connection) -> None:
            if rows:
                replace_rows(connection, ALARMS, rows)
            if told:
                connection.execute(insert(ALARM_JOURNAL), told)
            gone = [*lifted, *(one["rule"] for one in wishes)]
            if gone:
                connection.execute(delete(SUPPRESSIONS).where(SUPPRESSIONS.c.rule.in_(gone)))
            if wishes:
                connection.execute(insert(SUPPRESSIONS), wishes)

        self._transactions.write(write)

    def suppressions(self) -> Sequence[Suppression]:
        asked = select(SUPPRESSIONS).order_by(SUPPRESSIONS.c.rule)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [Suppression(**dict(row) | {"one_shot": bool(row["one_shot"])}) for row in rows]

    def journal(self, since: datetime | None, until: datetime | None) -> Sequence[JournalLine]:
        columns = [column for column in ALARM_JOURNAL.c if column.name != "id"]
        asked = select(*columns).order_by(ALARM_JOURNAL.c.at.desc(), ALARM_JOURNAL.c.id.desc())
        if since is not None:
            asked = asked.where(ALARM_JOURNAL.c.at >= since)
        if until is not None:
            asked = asked.where(ALARM_JOURNAL.c.at < until)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [JournalLine(**row) for row in rows]


def _alarm(row: RowMapping) -> Alarm:
    return Alarm(**dict(row) | {"latching": bool(row["latching"])})
