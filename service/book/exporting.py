"""The whole book into a new folder of CSV files."""

import os
from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp

from service.book.columns_text import columns_text
from service.book.csv_tables import CSV_TABLES
from service.book.csv_writing import written
from service.errors import InputError
from service.nests.book_rows import BookRows

COLUMNS_FILE = "columns.txt"


def export_book(rows: BookRows, folder: Path) -> dict[str, int]:
    """Write every file, and beside them what the columns mean; returns rows by table.

    The folder is made, or is there and empty. It appears with all its files or not at all.

    Raises:
        InputError: something is in the folder, or it can't be made; nothing was written.
    """
    target = folder.absolute()
    if target.exists() and not target.is_dir():
        raise InputError(f"{folder}: this is a file; name a new folder")
    if target.is_dir() and any(target.iterdir()):
        raise InputError(
            f"{folder}: something is in it already, and nothing is written over; name a new folder"
        )
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        making = Path(mkdtemp(prefix=f".{target.name}-", dir=target.parent))
        try:
            _write(rows, making)
            making.replace(target)
        except BaseException:
            rmtree(making, ignore_errors=True)
            raise
    except OSError as error:
        raise InputError(f"{folder}: it can't be written: {error.strerror}") from error
    return {table.name: len(rows.of(table.row)) for table in CSV_TABLES}


def _write(rows: BookRows, folder: Path) -> None:
    """To the disk, so that the folder's name never stands for half of it."""
    folder.chmod(0o755)
    contents = {table.file: written(table, rows.of(table.row)) for table in CSV_TABLES}
    contents[COLUMNS_FILE] = columns_text().encode()
    for name, content in contents.items():
        with (folder / name).open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
