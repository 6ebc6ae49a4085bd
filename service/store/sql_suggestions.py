"""Suggestions and what the keeper said to them, in records.db."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, or_, select

from service.errors import InputError, NotKnownError
from service.nests.suggestion import Answer, Suggestion
from service.store.sql_duty_tables import SUGGESTIONS
from service.store.sql_engine import Transactions
from service.store.sql_rows import insert_row, update_row
from service.store.sql_tables import PLACES


class SqlSuggestions:
    """Fulfils ``SuggestionStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def suggest(self, *, place: str, kind: str, words: str, at: datetime) -> Suggestion:
        return self._transactions.write(
            lambda connection: _suggest(connection, place, kind, words.strip(), at)
        )

    def suggestions(self, since: datetime) -> Sequence[Suggestion]:
        said = SUGGESTIONS.c.answer
        asked = select(SUGGESTIONS).where(
            or_(said.is_(None), said == Answer.LATER, SUGGESTIONS.c.answered_at >= since)
        )
        rows = self._transactions.read(
            lambda found: found.execute(asked.order_by(SUGGESTIONS.c.id)).mappings().all()
        )
        return [_of(row) for row in rows]

    def answer(
        self,
        suggestion_id: int,
        answer: Answer | None,
        *,
        at: datetime,
        by: str | None,
        later_until: datetime | None = None,
    ) -> Suggestion:
        values: dict[str, Any] = {
            "answer": answer,
            "answered_at": at if answer else None,
            "answered_by": by if answer else None,
            "later_until": later_until if answer is Answer.LATER else None,
        }
        return self._transactions.write(lambda found: _answer(found, suggestion_id, values))


def _of(row: RowMapping) -> Suggestion:
    said = row["answer"]
    return Suggestion(**{**row, "answer": Answer(said) if said else None})


def _one(connection: Connection, suggestion_id: int) -> Suggestion:
    asked = select(SUGGESTIONS).where(SUGGESTIONS.c.id == suggestion_id)
    row = connection.execute(asked).mappings().first()
    if row is None:
        raise NotKnownError(f"there is no suggestion {suggestion_id}")
    return _of(row)


def _suggest(connection: Connection, place: str, kind: str, words: str, at: datetime) -> Suggestion:
    if not words:
        raise InputError("A suggestion without words can't be answered.")
    if connection.execute(select(PLACES.c.id).where(PLACES.c.id == place)).first() is None:
        raise NotKnownError(f"there is no place {place!r}")
    same = select(SUGGESTIONS.c.id).where(
        SUGGESTIONS.c.place == place,
        SUGGESTIONS.c.kind == kind,
        SUGGESTIONS.c.words == words,
        or_(SUGGESTIONS.c.answer.is_(None), SUGGESTIONS.c.answer == Answer.LATER),
    )
    found = connection.execute(same).scalar()
    if found is None:
        values = {"place": place, "kind": kind, "words": words, "made_at": at}
        found = insert_row(connection, SUGGESTIONS, values)
    return _one(connection, found)


def _answer(connection: Connection, suggestion_id: int, values: dict[str, Any]) -> Suggestion:
    stands = _one(connection, suggestion_id)
    settled = stands.answer in (Answer.YES, Answer.NO)
    if settled and values["answer"] is not None:
        return stands
    update_row(connection, SUGGESTIONS, suggestion_id, values)
    return _one(connection, suggestion_id)
