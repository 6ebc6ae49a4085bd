"""The settings made on pages and the record of changes, in records.db."""

import json
from collections.abc import Iterable, Mapping, Sequence

from sqlalchemy import Connection, insert, select

from service.store.kept_settings import Change, Document, Kept, UnreadableSettingsError
from service.store.nest_book import ChangedMeanwhileError
from service.store.sql_engine import Transactions
from service.store.sql_replace import replace_rows
from service.store.sql_tables import CHANGES, KEPT_SETTINGS

_ROW = 1
_DEEPEST = 8
"""Of tables and lists within each other; the settings need four."""
NOTHING_KEPT = Kept(document={}, revision=0)


class SqlKeptSettings:
    """Fulfils ``KeptSettings``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def read(self) -> Kept:
        asked = select(KEPT_SETTINGS.c.revision, KEPT_SETTINGS.c.document)
        row = self._transactions.read(lambda found: found.execute(asked).first())
        return NOTHING_KEPT if row is None else _kept(row.revision, row.document)

    def revision(self) -> int:
        return self._transactions.read(_revision)

    def put(self, document: Document, *, based_on: int, change: Change) -> int:
        written = json.dumps(document, ensure_ascii=False, allow_nan=False)

        def write(connection: Connection) -> int:
            newest = _revision(connection)
            if newest != based_on:
                raise ChangedMeanwhileError("the settings were changed by someone else meanwhile")
            row = {"id": _ROW, "revision": newest + 1, "document": written}
            replace_rows(connection, KEPT_SETTINGS, [row])
            note_change(connection, change)
            return newest + 1

        return self._transactions.write(write)


class SqlChanges:
    """Fulfils ``ChangeRecord``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def note(self, change: Change) -> None:
        self._transactions.write(lambda connection: note_change(connection, change))

    def changes(self, limit: int = 200) -> Sequence[Change]:
        columns = [column for column in CHANGES.c if column.name != "id"]
        asked = select(*columns).order_by(CHANGES.c.id.desc()).limit(limit)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [Change(**row) for row in rows]


def note_change(connection: Connection, change: Change) -> None:
    """Add a line in the transaction that makes the change."""
    row = {
        "at": change.at,
        "by": change.by,
        "what": change.what,
        "before": change.before,
        "after": change.after,
    }
    connection.execute(insert(CHANGES).values(row))


def _revision(connection: Connection) -> int:
    return connection.execute(select(KEPT_SETTINGS.c.revision)).scalar() or 0


def _kept(revision: int, written: str) -> Kept:
    try:
        document = json.loads(written)
        json.dumps(document, ensure_ascii=False).encode()  # half a character is no text
    except (ValueError, RecursionError) as error:
        raise UnreadableSettingsError(revision, str(error)) from error
    if not isinstance(document, Mapping):
        raise UnreadableSettingsError(revision, "it is no table")
    if _is_deeper(document, _DEEPEST):
        raise UnreadableSettingsError(revision, f"it is nested deeper than {_DEEPEST} levels")
    return Kept(document=document, revision=revision)


def _is_deeper(value: object, levels: int) -> bool:
    held = value.values() if isinstance(value, Mapping) else value
    if not isinstance(held, Iterable) or isinstance(held, str):
        return False
    return levels == 0 or any(_is_deeper(one, levels - 1) for one in held)
