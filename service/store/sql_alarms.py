"""Alarms in records.db."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime

from sqlalchemy import select

from service.alarms.alarm import Alarm, AlarmState
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
        return [Alarm(**row) for row in rows]

    def alarms(self, since: datetime | None, until: datetime | None) -> Sequence[Alarm]:
        asked = select(ALARMS).order_by(ALARMS.c.raised_at.desc(), ALARMS.c.id)
        if since is not None:
            asked = asked.where(ALARMS.c.raised_at >= since)
        if until is not None:
            asked = asked.where(ALARMS.c.raised_at < until)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [Alarm(**row) for row in rows]

    def put(self, alarms: Sequence[Alarm]) -> None:
        rows = [asdict(alarm) for alarm in alarms]
        if rows:
            self._transactions.write(lambda connection: replace_rows(connection, ALARMS, rows))
