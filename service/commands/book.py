"""``clutchweather book export`` and ``book import``: the nest book as CSV files, there and back."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path

from service.book.csv_tables import CSV_TABLES
from service.book.csv_writing import with_nought
from service.book.exporting import export_book
from service.book.folder import read_folder
from service.book.importing import Imported, import_book
from service.clock import SystemClock
from service.commands.data_folder import clock_of
from service.settings.load import read_file
from service.store.kept_settings import Change
from service.wiring import open_shed, put_places, shed_to_ask

Say = Callable[[str], None]


def run_export(folder: Path, data: Path, config: Path | None, say: Say) -> None:
    """Write the whole book into a new folder.

    Raises:
        InputError: the folder is not new or can't be made.
        StoreUnavailableError: the records can't be read.
    """
    with shed_to_ask(read_file(config, data), data) as (settings, stores):
        rows = stores.records.book_copy.rows()
        counts = export_book(rows, folder)
    say(f"{settings.shed_name}: {_counted(counts)}.")
    say(f"They are in {folder}; columns.txt there says what each column means.")
    _tell_of_nought(
        [one for table in CSV_TABLES for one in with_nought(table, rows.of(table.row))], say
    )


def _tell_of_nought(cells: Sequence[str], say: Say) -> None:
    if cells:
        say(
            "A character with the number nought, which no such file can hold, was left out of "
            f"{len(cells)} {'cell' if len(cells) == 1 else 'cells'}; the book still has it:"
        )
        for cell in cells:
            say(f"  {cell}")


def run_import(
    folder: Path, data: Path, config: Path | None, *, skip_bad: bool, say: Say
) -> Imported:
    """Take a folder of files into the book, whole or not at all; works while the service runs.

    Raises:
        BookFaultsError, OtherBookError, InputError: nothing was imported; says why.
        StoreUnavailableError: the records stayed busy.
    """
    read = read_folder(folder)
    settings, stores = open_shed(read_file(config, data), data, writer=False)
    try:
        records = stores.records
        put_places(settings, records)
        done = import_book(
            read,
            records.book_copy,
            records.nest_book.places(),
            now=_now(data),
            zone=settings.site.timezone,
            skip_bad=skip_bad,
        )
        told = f"{_counted(done.added)} from {folder}"
        records.changes.note(
            Change(at=SystemClock().now(), by=None, what=f"At the machine: imported {told}")
        )
    finally:
        stores.close()
    _tell(done, folder, say)
    return done


def _now(data: Path) -> datetime:
    """The later of the clock's time and the shed's own: a replayed shed may be ahead."""
    return max(SystemClock().now(), clock_of(data).now())


def _tell(done: Imported, folder: Path, say: Say) -> None:
    if done.added:
        say(f"Imported from {folder}: {_counted(done.added)}.")
    else:
        say(f"{folder}: nothing new; all of it stands in the book already.")
    if done.added and done.stood:
        say(f"{done.stood} more rows stood in the book already.")
    if done.left_out:
        rows = len({(fault.file, fault.line) for fault in done.left_out})
        say(f"Left out: {rows} {'row' if rows == 1 else 'rows'}.")
        for fault in done.left_out:
            say(f"  {fault}")


def _counted(counts: Mapping[str, int]) -> str:
    told = [
        f"{table.name.replace('_', ' ')} {counts[table.name]}"
        for table in CSV_TABLES
        if counts.get(table.name)
    ]
    return ", ".join(told) or "an empty book"
