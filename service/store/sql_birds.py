"""Birds, their notes and the end of pairs, in records.db."""

from collections.abc import Sequence
from dataclasses import fields
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, insert, select, update

from service.errors import InputError, NotKnownError
from service.nests.book_correction import BookCorrection, Subject
from service.nests.condition_note import ConditionNote
from service.nests.nest import Bird, Pair
from service.nests.parentage import day_in_words
from service.store.bird_book import mark_of
from service.store.nest_book import ChangedMeanwhileError
from service.store.sql_bird_refusals import refuse_bird
from service.store.sql_bird_undo import undo
from service.store.sql_book_tables import CONDITION_NOTES
from service.store.sql_engine import Transactions
from service.store.sql_nest_reading import read_birds, read_pairs
from service.store.sql_tables import BIRDS, CORRECTIONS, PAIRS, PLACES


class SqlBirds:
    """Fulfils ``BirdBook``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def birds(self) -> Sequence[Bird]:
        return list(self._transactions.read(read_birds).values())

    def bird(self, bird_id: int) -> Bird:
        return _known(self._transactions.read(read_birds), bird_id)

    def add(self, bird: Bird, *, today: date) -> Bird:
        return self._transactions.write(lambda connection: _add(connection, bird, today))

    def change(
        self,
        bird: Bird,
        *,
        at: datetime,
        today: date,
        by: str | None = None,
        why: str | None = None,
        based_on: str | None = None,
    ) -> Sequence[BookCorrection]:
        def write(connection: Connection) -> Sequence[BookCorrection]:
            birds = read_birds(connection)
            before = _known(birds, bird.id)
            if based_on is not None and mark_of(before) != based_on:
                raise ChangedMeanwhileError(f"bird {bird.id} was changed by someone else meanwhile")
            refuse_bird(connection, bird, birds, today)
            connection.execute(update(BIRDS).where(BIRDS.c.id == bird.id).values(_row(bird)))
            return [
                _correct(connection, Subject.BIRD, bird.id, change, why=why, by=by, at=at)
                for change in _changes(before, bird)
            ]

        return self._transactions.write(write)

    def corrections(self, bird_id: int) -> Sequence[BookCorrection]:
        return self._corrections(Subject.BIRD, bird_id)

    def corrections_of_pair(self, pair_id: int) -> Sequence[BookCorrection]:
        return self._corrections(Subject.PAIR, pair_id)

    def _corrections(self, subject: Subject, subject_id: int) -> Sequence[BookCorrection]:
        asked = (
            select(CORRECTIONS)
            .where(CORRECTIONS.c.subject == subject, CORRECTIONS.c.subject_id == subject_id)
            .order_by(CORRECTIONS.c.id)
        )
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [BookCorrection(**row) for row in rows]

    def undo(self, correction_id: int, *, by: str | None, at: datetime, today: date) -> None:
        self._transactions.write(lambda connection: undo(connection, correction_id, by, at, today))

    def notes(self, bird_id: int) -> Sequence[ConditionNote]:
        asked = (
            select(CONDITION_NOTES)
            .where(CONDITION_NOTES.c.bird_id == bird_id)
            .order_by(CONDITION_NOTES.c.on_day.desc(), CONDITION_NOTES.c.id.desc())
        )
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [_note(row) for row in rows]

    def add_note(
        self, bird_id: int, *, on: date, text: str, by: str | None, at: datetime
    ) -> ConditionNote:
        values = {"bird_id": bird_id, "on_day": on, "text": text, "by": by, "noted_at": at}

        def write(connection: Connection) -> ConditionNote:
            _known(read_birds(connection), bird_id)
            same = [
                CONDITION_NOTES.c[name] == values[name] for name in ("bird_id", "on_day", "text")
            ]
            there = connection.execute(select(CONDITION_NOTES).where(*same)).mappings().first()
            if there is not None:  # the form was sent twice
                return _note(there)
            made = connection.execute(insert(CONDITION_NOTES).values(values)).inserted_primary_key
            assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
            return ConditionNote(
                id=int(made[0]), bird_id=bird_id, on=on, text=text, by=by, noted_at=at
            )

        return self._transactions.write(write)

    def end_pair(
        self, pair_id: int, *, on: date, by: str | None, at: datetime, why: str | None = None
    ) -> Pair:
        def write(connection: Connection) -> Pair:
            _end_pair(connection, pair_id, on)
            change = ("ended_on", None, on.isoformat())
            _correct(connection, Subject.PAIR, pair_id, change, why=why, by=by, at=at)
            return next(pair for pair in read_pairs(connection) if pair.id == pair_id)

        return self._transactions.write(write)


def _known(birds: dict[int, Bird], bird_id: int) -> Bird:
    if bird_id not in birds:
        raise NotKnownError(f"there is no bird {bird_id}")
    return birds[bird_id]


def _add(connection: Connection, bird: Bird, today: date) -> Bird:
    refuse_bird(connection, bird, read_birds(connection), today)
    made = connection.execute(insert(BIRDS).values(_row(bird))).inserted_primary_key
    assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
    return read_birds(connection)[int(made[0])]


def _row(bird: Bird) -> dict[str, Any]:
    return {field.name: getattr(bird, field.name) for field in fields(bird) if field.name != "id"}


Change = tuple[str, str | None, str | None]


def _changes(before: Bird, after: Bird) -> list[Change]:
    old, new = _row(before), _row(after)
    return [(name, _text(old[name]), _text(new[name])) for name in old if old[name] != new[name]]


def _text(value: object) -> str | None:
    return None if value is None else str(value)


def _correct(
    connection: Connection,
    subject: Subject,
    subject_id: int,
    change: Change,
    *,
    why: str | None,
    by: str | None,
    at: datetime,
) -> BookCorrection:
    fact, before, after = change
    values: dict[str, Any] = {
        "subject": subject,
        "subject_id": subject_id,
        "clutch_id": None,
        "fact": fact,
        "before": before,
        "after": after,
        "why": why,
        "by": by,
        "at": at,
    }
    made = connection.execute(insert(CORRECTIONS).values(values)).inserted_primary_key
    assert made is not None  # noqa: S101 - SQLAlchemy's contract for a single insert
    return BookCorrection(id=int(made[0]), **values)


def _note(row: RowMapping) -> ConditionNote:
    return ConditionNote(
        id=row["id"],
        bird_id=row["bird_id"],
        on=row["on_day"],
        text=row["text"],
        by=row["by"],
        noted_at=row["noted_at"],
    )


def _end_pair(connection: Connection, pair_id: int, on: date) -> None:
    asked = select(PAIRS).where(PAIRS.c.id == pair_id)
    row = connection.execute(asked).mappings().first()
    if row is None:
        raise NotKnownError(f"there is no pair {pair_id}")
    if row["ended_on"] is not None:
        raise InputError(f"This pair has ended already, on {day_in_words(row['ended_on'])}.")
    if on < row["put_up_on"]:
        raise InputError(
            f"Ended: {day_in_words(on)} is before this pair was put up, on "
            f"{day_in_words(row['put_up_on'])}."
        )
    connection.execute(update(PAIRS).where(PAIRS.c.id == pair_id).values(ended_on=on))
    moved_on = update(PLACES).where(PLACES.c.within == row["cage"])
    connection.execute(moved_on.values(revision=PLACES.c.revision + 1))
