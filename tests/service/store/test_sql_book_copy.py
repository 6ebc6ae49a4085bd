"""The whole book out of records.db, and into it."""

from dataclasses import fields
from pathlib import Path

import pytest
from sqlalchemy import Table

from service.book.csv_tables import CSV_TABLES
from service.errors import InputError
from service.nests.book_rows import BirdRow, BookRows, ChickRow
from service.nests.nest import Sex
from service.store.sql_book_copy import KEPT, Kept, Taken
from service.store.sql_records import open_records
from service.store.sql_tables import METADATA

# Everything else in records.db is of the machine and its people, and goes by the backup.
NOT_OF_THE_BOOK = {
    "alarms",
    "alarm_journal",
    "calendar_events",
    "calendar_tokens",
    "calibrations",
    "changes",
    "duties",
    "duty_done",
    "duty_terms",
    "first_codes",
    "kept_settings",
    "people",
    "places",  # they are settings
    "requests",
    "running_low",
    "salt_trials",
    "sessions",
    "suggestions",
    "suppressions",
    # Made anew from what was measured.
    "outlook_nights",
    "outlook_models",
    "outlooks",
    # Work of the shed, like duties.
    "treatments",
    "surface_looks",
    "visit_times",
    "visits",
    "wall_tokens",
}


def test_every_table_is_of_the_book_or_is_known_not_to_be() -> None:
    """A new table must say whether it goes out with the book."""
    carried = {kept.table.name for kept in KEPT}
    assert set(METADATA.tables) - carried - NOT_OF_THE_BOOK == set()
    assert not carried & NOT_OF_THE_BOOK


def test_every_kept_table_has_its_file_in_the_same_order() -> None:
    assert [kept.row for kept in KEPT] == [table.row for table in CSV_TABLES]


@pytest.mark.parametrize("kept", KEPT, ids=lambda kept: str(kept.table.name))
def test_every_column_goes_out_with_the_book(kept: Kept) -> None:
    """But for a chick's clutch and number, which its egg tells, and a look's list of words."""
    written = {kept.renamed.get(field.name, field.name) for field in fields(kept.row)}
    if kept.row is ChickRow:
        written = (written - {"egg"}) | {"clutch_id", "egg_number"}
    assert _columns(kept.table) - {"told"} <= written


def _columns(table: Table) -> set[str]:
    return {column.name for column in table.columns}


def test_a_contradiction_that_only_the_records_see_leaves_nothing_behind(tmp_path: Path) -> None:
    records = open_records("sqlite:///records.db", tmp_path)
    twice = tuple(BirdRow(bird=n, ring="A1", sex=Sex.HEN) for n in (1, 2))
    with pytest.raises(InputError, match="contradict each other"):
        records.book_copy.take_in(lambda _: Taken(rows=BookRows({BirdRow: twice})))
    assert records.book_copy.rows().of(BirdRow) == ()
    records.close()
