"""Sessions, in records.db: the browsers that people have signed in with."""

from datetime import datetime

from sqlalchemy import Connection, delete, insert, select, update

from service.store.people_store import Person, Session
from service.store.sql_engine import Transactions
from service.store.sql_tables import PEOPLE, SESSIONS


class SqlSessions:
    """Part of ``SqlPeople``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def open(self, session: Session) -> None:
        """Keep a session, and drop those that have ended."""
        values = {column.name: getattr(session, column.name) for column in SESSIONS.c}

        def write(connection: Connection) -> None:
            connection.execute(delete(SESSIONS).where(SESSIONS.c.ends_at <= session.seen_at))
            connection.execute(insert(SESSIONS).values(values))

        self._transactions.write(write)

    def found(self, digest: str, now: datetime) -> tuple[Session, Person] | None:
        """The session and its person, if both hold at ``now``."""
        asked = (
            select(*SESSIONS.c, *PEOPLE.c)
            .join_from(SESSIONS, PEOPLE, SESSIONS.c.person_id == PEOPLE.c.id)
            .where(SESSIONS.c.digest == digest, SESSIONS.c.ends_at > now)
            .where(PEOPLE.c.left_at.is_(None))
        )
        told = self._transactions.read(lambda found: found.execute(asked).mappings().first())
        if told is None:
            return None
        session = Session(**{column.name: told[column] for column in SESSIONS.c})
        return session, Person(**{column.name: told[column] for column in PEOPLE.c})

    def seen(self, digest: str, at: datetime, ends_at: datetime) -> None:
        """Note a use."""
        used = (
            update(SESSIONS).where(SESSIONS.c.digest == digest).values(seen_at=at, ends_at=ends_at)
        )
        self._transactions.write(lambda connection: connection.execute(used))

    def close(self, digest: str) -> None:
        """The session is gone."""
        ended = delete(SESSIONS).where(SESSIONS.c.digest == digest)
        self._transactions.write(lambda connection: connection.execute(ended))
