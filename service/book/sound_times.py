"""Times that are still to come, and times in the wrong order. Pure."""

from collections.abc import Iterator
from dataclasses import fields
from datetime import date, datetime, tzinfo

from service.book.csv_tables import CSV_TABLES
from service.book.errors import Fault
from service.book.located import LocatedBook
from service.nests.book_rows import (
    BirdRow,
    BookRow,
    ChickRow,
    CorrectionRow,
    EggRow,
    PairRow,
    SeasonRow,
    SpanRow,
)
from service.nests.compare import CLOCKS_MAY_DIFFER_BY

_IN_ORDER: tuple[tuple[type[BookRow], str, str], ...] = (
    (BirdRow, "hatched_on", "life_since"),
    (SeasonRow, "began_on", "closed_on"),
    (PairRow, "put_up_on", "ended_on"),
    (EggRow, "laid_from", "laid_to"),
    (EggRow, "laid_from", "candled_at"),
    (EggRow, "laid_from", "fate_to"),
    (EggRow, "fate_from", "fate_to"),
    (ChickRow, "hatched_from", "hatched_to"),
    (ChickRow, "hatched_from", "ringed_at"),
    (ChickRow, "hatched_from", "fate_at"),
    (CorrectionRow, "at", "undone_at"),
    (SpanRow, "least", "most"),
)


def faulty_times(book: LocatedBook, now: datetime, zone: tzinfo) -> Iterator[Fault]:
    """Days and times after ``now``, and ends before their beginnings."""
    today = now.astimezone(zone).date()
    for table in CSV_TABLES:
        names = [field.name for field in fields(table.row)]
        for one in book.of(table.row):
            for name in names:
                if _is_to_come(getattr(one.row, name), now, today):
                    words = f"{_told(getattr(one.row, name))} is still to come"
                    yield one.fault(name, words)
    for kind, first, then in _IN_ORDER:
        for one in book.of(kind):
            before, after = getattr(one.row, first), getattr(one.row, then)
            if before is not None and after is not None and after < before:
                words = f"{_told(after)} is before {first}, {_told(before)}"
                yield one.fault(then, words)


def _is_to_come(value: object, now: datetime, today: date) -> bool:
    if isinstance(value, datetime):
        return value > now + CLOCKS_MAY_DIFFER_BY
    return isinstance(value, date) and value > today


def _told(value: object) -> str:
    if isinstance(value, datetime):
        return value.replace(tzinfo=None).isoformat() + "Z"
    return f"{value:g}" if isinstance(value, float) else str(value)
