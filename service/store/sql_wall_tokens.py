"""The tokens of walls, in records.db."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection, insert, select, update

from service.errors import NotKnownError
from service.store.people_store import WallToken
from service.store.sql_engine import Transactions
from service.store.sql_tables import WALL_TOKENS


class SqlWallTokens:
    """Part of ``SqlPeople``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def add(self, name: str, digest: str, *, by: str | None, at: datetime) -> WallToken:
        """A new token."""
        added = insert(WALL_TOKENS).values(name=name, digest=digest, made_at=at, made_by=by)

        def write(connection: Connection) -> WallToken:
            made = connection.execute(added).inserted_primary_key
            assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
            return WallToken(id=int(made[0]), name=name, digest=digest, made_at=at, made_by=by)

        return self._transactions.write(write)

    def all(self) -> Sequence[WallToken]:
        """All tokens, newest first."""
        asked = select(*WALL_TOKENS.c).order_by(WALL_TOKENS.c.id.desc())
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [WallToken(**row) for row in rows]

    def found(self, digest: str) -> WallToken | None:
        """The token, if it was not revoked."""
        holds = (WALL_TOKENS.c.digest == digest) & WALL_TOKENS.c.revoked_at.is_(None)
        asked = select(*WALL_TOKENS.c).where(holds)
        row = self._transactions.read(lambda found: found.execute(asked).mappings().first())
        return None if row is None else WallToken(**row)

    def seen(self, token_id: int, at: datetime) -> None:
        """Note that a tablet showed the wall."""
        used = update(WALL_TOKENS).where(WALL_TOKENS.c.id == token_id).values(seen_at=at)
        self._transactions.write(lambda connection: connection.execute(used))

    def revoke(self, token_id: int, at: datetime) -> None:
        """The token opens nothing any more; when it was revoked first stays."""
        this = WALL_TOKENS.c.id == token_id

        def write(connection: Connection) -> None:
            if connection.execute(select(WALL_TOKENS.c.id).where(this)).first() is None:
                raise NotKnownError(f"there is no token {token_id}")
            held = this & WALL_TOKENS.c.revoked_at.is_(None)
            connection.execute(update(WALL_TOKENS).where(held).values(revoked_at=at))

        self._transactions.write(write)
