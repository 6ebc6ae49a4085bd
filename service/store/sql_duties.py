"""Duties, and what was done of them, in records.db."""

import json
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime, time
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Row, RowMapping, Select, delete, insert, select, update

from service.errors import NotKnownError
from service.nests.duty import Duty, DutyDone, DutySlot, DutyTerms, DutyWhere, Visit, VisitTimes
from service.store.duty_json import (
    rota_of,
    rota_text,
    schedule_of,
    schedule_text,
    visits_of,
    visits_text,
)
from service.store.nest_book import ChangedMeanwhileError
from service.store.sql_duty_tables import DUTIES, DUTY_DONE, DUTY_TERMS, VISIT_TIMES
from service.store.sql_engine import Transactions
from service.store.sql_rows import insert_row


class SqlDuties:
    """Fulfils ``DutyStore``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def duties(self) -> Sequence[Duty]:
        return self._transactions.read(lambda found: _duties(found, None))

    def duty(self, duty_id: int) -> Duty:
        found = self._transactions.read(lambda connection: _duties(connection, duty_id))
        if not found:
            raise NotKnownError(f"there is no duty {duty_id}")
        return found[0]

    def add(self, terms: Sequence[DutyTerms], *, by: str | None, form_id: UUID) -> Sequence[int]:
        def write(connection: Connection) -> list[int]:
            made = select(DUTIES.c.id).where(DUTIES.c.form_id == str(form_id)).order_by(DUTIES.c.id)
            before = list(connection.execute(made).scalars())
            if before:
                return before
            ids = [insert_row(connection, DUTIES, {"form_id": str(form_id)}) for _ in terms]
            for duty_id, one in zip(ids, terms, strict=True):
                insert_row(connection, DUTY_TERMS, _terms_row(duty_id, 0, one, by))
            return ids

        return self._transactions.write(write)

    def edit(self, duty_id: int, terms: DutyTerms, *, by: str | None, based_on: int) -> None:
        def write(connection: Connection) -> None:
            found = _duties(connection, duty_id)
            if not found:
                raise NotKnownError(f"there is no duty {duty_id}")
            if found[0].revision != based_on:
                raise ChangedMeanwhileError("the duty was changed by someone else meanwhile")
            insert_row(connection, DUTY_TERMS, _terms_row(duty_id, based_on + 1, terms, by))

        self._transactions.write(write)

    def take_away(self, duty_id: int, *, at: datetime, by: str | None) -> None:
        def write(connection: Connection) -> None:
            _refuse_unknown(connection, {duty_id})
            still = (DUTIES.c.id == duty_id) & DUTIES.c.removed_at.is_(None)
            connection.execute(update(DUTIES).where(still).values(removed_at=at, removed_by=by))

        self._transactions.write(write)

    def mark_done(
        self,
        words: Mapping[DutySlot, str],
        *,
        at: datetime,
        by: str | None,
        form_id: UUID,
    ) -> Sequence[DutyDone]:
        def write(connection: Connection) -> list[DutyDone]:
            _refuse_unknown(connection, {slot.duty_id for slot in words})
            return [
                _mark(connection, slot, {"words": told, "at": at, "by": by, "form": str(form_id)})
                for slot, told in words.items()
            ]

        return self._transactions.write(write)

    def undo(self, done_ids: Collection[int], *, at: datetime, by: str | None) -> None:
        def write(connection: Connection) -> None:
            known = select(DUTY_DONE.c.id).where(DUTY_DONE.c.id.in_(done_ids))
            if set(done_ids) - set(connection.execute(known).scalars()):
                raise NotKnownError("that was never told as done")
            standing = DUTY_DONE.c.id.in_(done_ids) & DUTY_DONE.c.undone_at.is_(None)
            undone = update(DUTY_DONE).where(standing)
            connection.execute(undone.values(undone_at=at, undone_by=by))

        self._transactions.write(write)

    def done(self, since: date, until: date | None = None) -> Sequence[DutyDone]:
        asked = select(DUTY_DONE).where(DUTY_DONE.c.day >= since).order_by(DUTY_DONE.c.id)
        if until is not None:
            asked = asked.where(DUTY_DONE.c.day < until)
        return self._transactions.read(lambda found: _all_done(found, asked))

    def told(self, since: datetime, until: datetime | None = None) -> Sequence[DutyDone]:
        asked = select(DUTY_DONE).where(DUTY_DONE.c.at >= since).order_by(DUTY_DONE.c.id)
        if until is not None:
            asked = asked.where(DUTY_DONE.c.at < until)
        return self._transactions.read(lambda found: _all_done(found, asked))

    def last_done(self) -> Sequence[DutyDone]:
        def read(connection: Connection) -> list[DutyDone]:
            last: dict[tuple[int, str], DutyDone] = {}
            for one in _all_done(connection, _LAST_DAYS):
                here = (one.slot.duty_id, one.slot.place)
                last[here] = max(last.get(here, one), one, key=lambda told: told.slot.visit.turn)
            return [*last.values()]

        return self._transactions.read(read)

    def visit_times(self) -> VisitTimes:
        rows = self._transactions.read(lambda found: found.execute(select(VISIT_TIMES)).all())
        return _times(rows)

    def put_visit_times(self, times: VisitTimes) -> None:
        told = {
            Visit.MORNING: times.morning,
            Visit.MIDDAY: times.midday,
            Visit.EVENING: times.evening,
        }
        rows = [
            {"visit": visit, "counts_from": at.isoformat("minutes")}
            for visit, at in told.items()
            if at is not None
        ]

        def write(connection: Connection) -> None:
            connection.execute(delete(VISIT_TIMES))
            connection.execute(insert(VISIT_TIMES), rows)

        self._transactions.write(write)


_STANDING = DUTY_DONE.c.undone_at.is_(None)


def _last_days() -> Select[Any]:
    """What stands of the last day on which a duty was done at a place."""
    later = DUTY_DONE.alias("later")
    return select(DUTY_DONE).where(
        _STANDING,
        ~select(later.c.id)
        .where(
            later.c.duty_id == DUTY_DONE.c.duty_id,
            later.c.place == DUTY_DONE.c.place,
            later.c.day > DUTY_DONE.c.day,
            later.c.undone_at.is_(None),
        )
        .exists(),
    )


_LAST_DAYS = _last_days()


def _duties(connection: Connection, duty_id: int | None) -> list[Duty]:
    asked = (
        select(DUTY_TERMS)
        .join(DUTIES, DUTIES.c.id == DUTY_TERMS.c.duty_id)
        .where(DUTIES.c.removed_at.is_(None))
        .order_by(DUTY_TERMS.c.duty_id, DUTY_TERMS.c.revision)
    )
    if duty_id is not None:
        asked = asked.where(DUTY_TERMS.c.duty_id == duty_id)
    terms: dict[int, list[RowMapping]] = defaultdict(list)
    for row in connection.execute(asked).mappings():
        terms[row["duty_id"]].append(row)
    return [
        Duty(
            id=found,
            terms=_terms(rows[-1]),
            earlier=tuple(map(_terms, rows[:-1])),
            revision=rows[-1]["revision"],
        )
        for found, rows in terms.items()
    ]


def _terms(row: RowMapping) -> DutyTerms:
    return DutyTerms(
        name=row["name"],
        where=DutyWhere(kind=row["where_kind"], places=tuple(json.loads(row["places"]))),
        schedule=schedule_of(row["schedule"]),
        since=row["since"],
        visits=visits_of(row["visits"]),
        rota=rota_of(row["rota"]),
        rota_first=row["rota_first"],
        minutes=row["minutes"],
        missed=row["missed"],
        caution=row["caution"],
        look=bool(row["look"]),
        off=bool(row["off"]),
    )


def _terms_row(duty_id: int, revision: int, terms: DutyTerms, by: str | None) -> dict[str, Any]:
    return {
        "duty_id": duty_id,
        "revision": revision,
        "since": terms.since,
        "name": terms.name,
        "where_kind": terms.where.kind,
        "places": json.dumps(terms.where.places, ensure_ascii=False),
        "schedule": schedule_text(terms.schedule),
        "visits": visits_text(terms.visits),
        "rota": rota_text(terms.rota),
        "rota_first": terms.rota_first,
        "minutes": terms.minutes,
        "missed": terms.missed,
        "caution": terms.caution,
        "look": int(terms.look),
        "off": int(terms.off),
        "by": by,
    }


def _refuse_unknown(connection: Connection, duty_ids: set[int]) -> None:
    known = select(DUTIES.c.id).where(DUTIES.c.id.in_(duty_ids))
    unknown = duty_ids - set(connection.execute(known).scalars())
    if unknown:
        raise NotKnownError(f"there is no duty {min(unknown)}")


def _mark(connection: Connection, slot: DutySlot, told: Mapping[str, Any]) -> DutyDone:
    """What stands for the slot; a form that told it before is answered with what came of it."""
    of_slot = (
        (DUTY_DONE.c.duty_id == slot.duty_id)
        & (DUTY_DONE.c.place == slot.place)
        & (DUTY_DONE.c.day == slot.day)
        & (DUTY_DONE.c.visit == slot.visit)
    )
    there = _all_done(connection, select(DUTY_DONE).where(of_slot & _STANDING))
    if there:
        return there[0]
    by_form = select(DUTY_DONE).where(of_slot & (DUTY_DONE.c.form_id == told["form"]))
    before = _all_done(connection, by_form)
    if before:
        return before[0]
    row = {
        "duty_id": slot.duty_id,
        "place": slot.place,
        "day": slot.day,
        "visit": slot.visit,
        "words": told["words"],
        "at": told["at"],
        "by": told["by"],
        "form_id": told["form"],
    }
    made = insert_row(connection, DUTY_DONE, row)
    return _all_done(connection, select(DUTY_DONE).where(DUTY_DONE.c.id == made))[0]


def _all_done(connection: Connection, asked: Select[Any]) -> list[DutyDone]:
    return [_done(row) for row in connection.execute(asked).mappings()]


def _done(row: RowMapping) -> DutyDone:
    return DutyDone(
        id=row["id"],
        slot=DutySlot(
            duty_id=row["duty_id"], place=row["place"], day=row["day"], visit=row["visit"]
        ),
        words=row["words"],
        at=row["at"],
        by=row["by"],
        form_id=UUID(row["form_id"]),
        undone_at=row["undone_at"],
        undone_by=row["undone_by"],
    )


def _times(rows: Sequence[Row[Any]]) -> VisitTimes:
    """As kept; the usual ones where nothing was ever set."""
    if not rows:
        return VisitTimes()
    told = {row.visit: time.fromisoformat(row.counts_from) for row in rows}
    return VisitTimes(
        morning=told[Visit.MORNING], midday=told.get(Visit.MIDDAY), evening=told[Visit.EVENING]
    )
