"""Which CSV file holds which rows, and by which columns a row is known.

In the order in which they can be read: a row speaks only of rows before it, but for a bird's
parents. ``columns.txt`` beside the exported files tells the same in words.
"""

from dataclasses import dataclass, fields

from service.nests.book_rows import (
    BirdRow,
    BookRow,
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


@dataclass(frozen=True, slots=True, kw_only=True)
class CsvTable:
    """``name`` is that of the file without ``.csv``; ``key`` are the columns of its order."""

    name: str
    row: type[BookRow]
    key: tuple[str, ...]

    @property
    def file(self) -> str:
        """The name of its file."""
        return f"{self.name}.csv"

    @property
    def columns(self) -> tuple[str, ...]:
        """The header."""
        return tuple(field.name for field in fields(self.row))


CSV_TABLES = (
    CsvTable(name="birds", row=BirdRow, key=("bird",)),
    CsvTable(name="condition_notes", row=ConditionNoteRow, key=("note",)),
    CsvTable(name="seasons", row=SeasonRow, key=("season",)),
    CsvTable(name="pairs", row=PairRow, key=("pair",)),
    CsvTable(name="clutches", row=ClutchRow, key=("clutch",)),
    CsvTable(name="eggs", row=EggRow, key=("egg",)),
    CsvTable(name="chicks", row=ChickRow, key=("chick",)),
    CsvTable(name="moves", row=MoveRow, key=("move",)),
    CsvTable(name="weighings", row=WeighingRow, key=("weighing",)),
    CsvTable(name="checks", row=CheckRow, key=("check",)),
    CsvTable(name="corrections", row=CorrectionRow, key=("correction",)),
    CsvTable(name="species", row=SpanRow, key=("span",)),
    CsvTable(name="cage_sizes", row=CageSizeRow, key=("place",)),
    CsvTable(name="fit_out_items", row=FitOutItemRow, key=("item",)),
    CsvTable(name="fit_out_seen", row=FitOutSeenRow, key=("place", "item")),
    CsvTable(name="clean_down", row=CleanDownRow, key=("task",)),
    CsvTable(name="boxes_off", row=BoxOffRow, key=("box",)),
)

TABLES_BY_NAME = {table.name: table for table in CSV_TABLES}
