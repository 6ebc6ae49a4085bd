"""The whole nest book out of records.db, and rows of a book into it, each in one transaction."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from typing import Any

from sqlalchemy import Connection, RowMapping, Table, delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from service.errors import InputError
from service.nests.book_rows import (
    BirdRow,
    BookRow,
    BookRows,
    BoxOffRow,
    CageSizeRow,
    CheckRow,
    ChickRow,
    CleanDownRow,
    ClutchRow,
    ConditionNoteRow,
    CorrectionRow,
    EggRow,
    FitOutItemRow,
    FitOutSeenRow,
    MoveRow,
    PairRow,
    SeasonRow,
    SpanRow,
    WeighingRow,
)
from service.nests.nest import BeddingSeen, NestCheck
from service.store.sql_book_tables import (
    BOXES_OFF,
    CAGE_SIZES,
    CLEAN_DOWN,
    CONDITION_NOTES,
    FIT_OUT_ITEMS,
    FIT_OUT_SEEN,
    MOVES,
    SEASONS,
    WEIGHINGS,
)
from service.store.sql_check_rows import check_of, check_row
from service.store.sql_engine import Transactions
from service.store.sql_tables import (
    BIRDS,
    CHECKS,
    CHICKS,
    CLUTCHES,
    CORRECTIONS,
    EGGS,
    PAIRS,
    PLACES,
    SPECIES_SPANS,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Where rows of one type are kept; ``renamed`` are fields whose column is called otherwise."""

    row: type[BookRow]
    table: Table
    renamed: Mapping[str, str]


# In the order in which they can be written: a row speaks only of rows before it.
KEPT = (
    Kept(row=BirdRow, table=BIRDS, renamed={"bird": "id", "sire": "sire_id", "dam": "dam_id"}),
    Kept(
        row=ConditionNoteRow,
        table=CONDITION_NOTES,
        renamed={"note": "id", "bird": "bird_id", "on": "on_day"},
    ),
    Kept(row=SeasonRow, table=SEASONS, renamed={"season": "id"}),
    Kept(row=PairRow, table=PAIRS, renamed={"pair": "id", "cock": "cock_id", "hen": "hen_id"}),
    Kept(row=ClutchRow, table=CLUTCHES, renamed={"clutch": "id", "pair": "pair_id"}),
    Kept(row=EggRow, table=EGGS, renamed={"egg": "id", "clutch": "clutch_id"}),
    Kept(row=ChickRow, table=CHICKS, renamed={"chick": "id", "bird": "bird_id"}),
    Kept(row=MoveRow, table=MOVES, renamed={"move": "id", "egg": "egg_id"}),
    Kept(
        row=WeighingRow,
        table=WEIGHINGS,
        renamed={"weighing": "id", "egg": "egg_id", "bird": "bird_id"},
    ),
    Kept(
        row=CheckRow,
        table=CHECKS,
        renamed={"check": "id", "form": "form_id", "clutch": "clutch_id", "pair": "pair_id"},
    ),
    Kept(row=CorrectionRow, table=CORRECTIONS, renamed={"correction": "id", "clutch": "clutch_id"}),
    Kept(row=SpanRow, table=SPECIES_SPANS, renamed={"span": "name"}),
    Kept(row=CageSizeRow, table=CAGE_SIZES, renamed={}),
    Kept(row=FitOutItemRow, table=FIT_OUT_ITEMS, renamed={"item": "id"}),
    Kept(row=FitOutSeenRow, table=FIT_OUT_SEEN, renamed={"item": "item_id"}),
    Kept(row=CleanDownRow, table=CLEAN_DOWN, renamed={"task": "id", "season": "season_id"}),
    Kept(row=BoxOffRow, table=BOXES_OFF, renamed={}),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What to write: ``cleared`` are tables that are emptied first, ``rows`` are added."""

    rows: BookRows
    cleared: frozenset[type[BookRow]] = frozenset()


class SqlBookCopy:
    """Reads and writes whole books."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def rows(self) -> BookRows:
        """The book as it stands at one moment."""
        return self._transactions.read(_read)

    def take_in(self, choose: Callable[[BookRows], Taken]) -> None:
        """Write what ``choose`` says of the book that stands; all of it, or nothing.

        ``choose`` may be asked several times and may refuse by an error. Whoever has a form
        of a nest open is asked anew.

        Raises:
            InputError: the rows contradict each other, or what stands.
            StoreUnavailableError: the store stayed busy.
        """
        try:
            self._transactions.write(lambda connection: _take_in(connection, choose))
        except IntegrityError as error:
            raise InputError(
                f"Nothing was imported: the rows contradict each other ({error.orig})."
            ) from error


def _read(connection: Connection) -> BookRows:
    eggs = {
        (row["clutch_id"], row["number"]): row["id"]
        for row in connection.execute(select(EGGS.c.id, EGGS.c.clutch_id, EGGS.c.number)).mappings()
    }
    found: dict[type[BookRow], tuple[BookRow, ...]] = {}
    for kept in KEPT:
        order = list(kept.table.primary_key.columns)
        rows = connection.execute(select(kept.table).order_by(*order)).mappings()
        found[kept.row] = tuple(_row_of(kept, row, eggs) for row in rows)
    return BookRows(found)


def _row_of(kept: Kept, row: RowMapping, eggs: Mapping[tuple[int, int], int]) -> BookRow:
    if kept.row is CheckRow:
        return _check_row_of(row)
    values = {
        field.name: row[kept.renamed.get(field.name, field.name)]
        for field in fields(kept.row)
        if not (kept.row is ChickRow and field.name == "egg")
    }
    if kept.row is ChickRow:
        values["egg"] = eggs[row["clutch_id"], row["egg_number"]]
    if kept.row is FitOutSeenRow:
        values["there"] = bool(values["there"])
    make: Callable[..., BookRow] = kept.row
    return make(**values)


def _check_row_of(row: RowMapping) -> CheckRow:
    check = check_of(row)
    bedding = check.bedding or BeddingSeen()
    return CheckRow(
        check=row["id"],
        form=check.form_id,
        pair=row["pair_id"],
        clutch=row["clutch_id"],
        bedding=bedding.level,
        thrown_out=bedding.thrown_out,
        put_back=bedding.put_back,
        taken_out=bedding.taken_out,
        changes=tuple(json.loads(row["changes"])),
        **{name: getattr(check, name) for name in _AS_IN_A_CHECK},
    )


_AS_IN_A_CHECK = (
    "box",
    "at",
    "eggs",
    "chicks",
    "hen",
    "hatched",
    "lost",
    "candled",
    "ringed",
    "gone",
    "guests",
    "not_in_sight",
    "weighed",
    "hide_in",
    "sure",
    "note",
    "by",
)


def _take_in(connection: Connection, choose: Callable[[BookRows], Taken]) -> None:
    standing = _read(connection)
    taken = choose(standing)
    for kept in reversed(KEPT):
        if kept.row in taken.cleared:
            connection.execute(delete(kept.table))
    # A new chick may be out of an egg that stands, or out of a new one.
    eggs = (*standing.of(EggRow), *taken.rows.of(EggRow))
    numbers = {row.egg: (row.clutch, row.number) for row in eggs}
    for kept in KEPT:
        values = [_values_of(kept, row, numbers) for row in taken.rows.of(kept.row)]
        if values:
            connection.execute(insert(kept.table), values)
    _put_parents(connection, taken.rows.of(BirdRow))
    connection.execute(update(PLACES).values(revision=PLACES.c.revision + 1))


def _values_of(kept: Kept, row: BookRow, numbers: Mapping[int, tuple[int, int]]) -> dict[str, Any]:
    if isinstance(row, CheckRow):
        return _check_values(row)
    values = {
        kept.renamed.get(field.name, field.name): getattr(row, field.name)
        for field in fields(kept.row)
    }
    if isinstance(row, ChickRow):
        del values["egg"]
        values["clutch_id"], values["egg_number"] = numbers[row.egg]
    if isinstance(row, FitOutSeenRow):
        values["there"] = int(row.there)
    if isinstance(row, BirdRow):
        values |= {"sire_id": None, "dam_id": None}
    return values


def _put_parents(connection: Connection, birds: Sequence[BirdRow]) -> None:
    """After all birds are there: a parent may have the larger number."""
    for row in birds:
        if row.sire is not None or row.dam is not None:
            parents = {"sire_id": row.sire, "dam_id": row.dam}
            connection.execute(update(BIRDS).where(BIRDS.c.id == row.bird).values(parents))


def _check_values(row: CheckRow) -> dict[str, Any]:
    bedding = BeddingSeen(
        level=row.bedding,
        thrown_out=row.thrown_out,
        put_back=row.put_back,
        taken_out=row.taken_out,
    )
    check = NestCheck(
        form_id=row.form,
        bedding=None if bedding == BeddingSeen() else bedding,
        **{name: getattr(row, name) for name in _AS_IN_A_CHECK},
    )
    values = check_row(check, row.changes)
    return values | {"id": row.check, "pair_id": row.pair, "clutch_id": row.clutch}
