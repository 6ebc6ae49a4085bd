"""People and the one-time code for the first keeper, in records.db."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from sqlalchemy import Connection, delete, func, insert, select, update

from service.errors import InputError, NotKnownError
from service.people.first_code import MOST_WRONG
from service.people.names import same_name
from service.people.role import Role
from service.store.people_store import FirstCode, Person, Session, WallToken
from service.store.sql_engine import Transactions
from service.store.sql_sessions import SqlSessions
from service.store.sql_tables import FIRST_CODES, PEOPLE, SESSIONS
from service.store.sql_wall_tokens import SqlWallTokens


class SqlPeople:
    """Fulfils ``PeopleStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions
        self._sessions = SqlSessions(transactions)
        self._walls = SqlWallTokens(transactions)

    def people(self) -> Sequence[Person]:
        return self._transactions.read(_people)

    def has_keeper(self) -> bool:
        return self._transactions.read(_has_keeper)

    def put_first_code(self, digest: str, at: datetime) -> None:
        def write(connection: Connection) -> None:
            if _has_keeper(connection):
                return
            connection.execute(delete(FIRST_CODES))
            connection.execute(insert(FIRST_CODES).values(id=1, digest=digest, made_at=at))

        self._transactions.write(write)

    def first_code(self) -> FirstCode | None:
        return self._transactions.read(_first_code)

    def wrong_first_code(self) -> int:
        def write(connection: Connection) -> int:
            connection.execute(update(FIRST_CODES).values(tries=FIRST_CODES.c.tries + 1))
            found = _first_code(connection)
            return 0 if found is None else found.tries

        return self._transactions.write(write)

    def add_first_keeper(self, name: str, password_hash: str, digest: str, at: datetime) -> Person:
        def write(connection: Connection) -> Person:
            if _has_keeper(connection):
                raise InputError("There is a keeper already.")
            code = _first_code(connection)
            if code is None or code.used_at or code.tries >= MOST_WRONG or code.digest != digest:
                raise InputError("The code is not the one that holds now.")
            connection.execute(update(FIRST_CODES).values(used_at=at))
            return _add(connection, name, Role.KEEPER, password_hash, at=at)

        return self._transactions.write(write)

    def add(
        self,
        name: str,
        role: Role,
        password_hash: str,
        at: datetime,
        *,
        one_time_until: datetime | None = None,
    ) -> Person:
        if role is Role.WALL:
            raise InputError("A tablet gets a token, not a password.")
        return self._transactions.write(
            lambda connection: _add(
                connection, name, role, password_hash, at=at, one_time_until=one_time_until
            )
        )

    def set_password(
        self, person_id: int, password_hash: str, *, one_time_until: datetime | None = None
    ) -> None:
        def write(connection: Connection) -> None:
            _one(connection, person_id)
            connection.execute(
                update(PEOPLE)
                .where(PEOPLE.c.id == person_id)
                .values(password_hash=password_hash, one_time_until=one_time_until)
            )
            _end_sessions(connection, person_id)

        self._transactions.write(write)

    def renew_hash(self, person_id: int, old: str, new: str) -> None:
        this = (PEOPLE.c.id == person_id) & (PEOPLE.c.password_hash == old)
        renewed = update(PEOPLE).where(this).values(password_hash=new)
        self._transactions.write(lambda connection: connection.execute(renewed))

    def last_seen(self) -> Mapping[int, datetime]:
        newest = select(SESSIONS.c.person_id, func.max(SESSIONS.c.seen_at)).group_by(
            SESSIONS.c.person_id
        )
        rows = self._transactions.read(lambda connection: connection.execute(newest).all())
        return {int(person): seen for person, seen in rows}

    def leave(self, person_id: int, at: datetime) -> None:
        def write(connection: Connection) -> None:
            leaving = _one(connection, person_id)
            keepers = [
                one
                for one in _people(connection)
                if one.role is Role.KEEPER and one.left_at is None
            ]
            if leaving.role is Role.KEEPER and len(keepers) <= 1:
                raise InputError(f"{leaving.name} is the last keeper: add another one first.")
            still_here = (PEOPLE.c.id == person_id) & PEOPLE.c.left_at.is_(None)
            connection.execute(update(PEOPLE).where(still_here).values(left_at=at))
            _end_sessions(connection, person_id)

        self._transactions.write(write)

    def open_session(self, session: Session) -> None:
        self._sessions.open(session)

    def session(self, digest: str, now: datetime) -> tuple[Session, Person] | None:
        return self._sessions.found(digest, now)

    def seen(self, digest: str, at: datetime, ends_at: datetime) -> None:
        self._sessions.seen(digest, at, ends_at)

    def close_session(self, digest: str) -> None:
        self._sessions.close(digest)

    def add_wall_token(self, name: str, digest: str, *, by: str | None, at: datetime) -> WallToken:
        return self._walls.add(name, digest, by=by, at=at)

    def wall_tokens(self) -> Sequence[WallToken]:
        return self._walls.all()

    def wall_token(self, digest: str) -> WallToken | None:
        return self._walls.found(digest)

    def wall_seen(self, token_id: int, at: datetime) -> None:
        self._walls.seen(token_id, at)

    def revoke_wall_token(self, token_id: int, at: datetime) -> None:
        self._walls.revoke(token_id, at)


def _people(connection: Connection) -> list[Person]:
    rows = connection.execute(select(*PEOPLE.c).order_by(PEOPLE.c.id)).mappings().all()
    return [Person(**row) for row in rows]


def _one(connection: Connection, person_id: int) -> Person:
    asked = select(*PEOPLE.c).where(PEOPLE.c.id == person_id)
    row = connection.execute(asked).mappings().first()
    if row is None:
        raise NotKnownError(f"there is no person {person_id}")
    return Person(**row)


def _has_keeper(connection: Connection) -> bool:
    keeper = (PEOPLE.c.role == Role.KEEPER) & PEOPLE.c.left_at.is_(None)
    return connection.execute(select(PEOPLE.c.id).where(keeper).limit(1)).first() is not None


def _first_code(connection: Connection) -> FirstCode | None:
    columns = (
        FIRST_CODES.c.digest,
        FIRST_CODES.c.made_at,
        FIRST_CODES.c.tries,
        FIRST_CODES.c.used_at,
    )
    row = connection.execute(select(*columns)).mappings().first()
    return None if row is None else FirstCode(**row)


def _add(
    connection: Connection,
    name: str,
    role: Role,
    password_hash: str,
    *,
    at: datetime,
    one_time_until: datetime | None = None,
) -> Person:
    values = {
        "name": name,
        "role": role,
        "password_hash": password_hash,
        "one_time_until": one_time_until,
        "left_at": None,
    }
    before = next((one for one in _people(connection) if same_name(one.name, name)), None)
    if before is not None and before.left_at is None:
        raise InputError(f"{before.name} is there already: choose another name.")
    if before is not None:
        connection.execute(update(PEOPLE).where(PEOPLE.c.id == before.id).values(values))
        return _one(connection, before.id)
    made = connection.execute(insert(PEOPLE).values(**values, made_at=at)).inserted_primary_key
    assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
    return _one(connection, int(made[0]))


def _end_sessions(connection: Connection, person_id: int) -> None:
    connection.execute(delete(SESSIONS).where(SESSIONS.c.person_id == person_id))
