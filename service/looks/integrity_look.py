"""Whether the databases are whole."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

from service.backup.sqlite_snapshot import fault_in
from service.looks.surroundings import Surroundings
from service.machine.finding import Finding, cannot_tell, look, well


def look_at_databases(around: Surroundings) -> Iterator[Finding]:
    """One finding for each of the two."""
    for file in (around.settings.readings_file, around.records_file):
        yield _look_at(file, deep=around.deep)


def _look_at(file: Path, *, deep: bool) -> Finding:
    what = file.name
    if not file.is_file():
        return cannot_tell(
            what, f"{file} is not there: nothing was ever stored in it.", "Start the service."
        )
    try:
        fault = fault_in(file, deep=deep)
    except sqlite3.Error as error:
        return cannot_tell(
            what,
            f"{file} can't be looked at: {error}.",
            "Run this as the user that the service runs as; with a full disk make room first.",
        )
    if fault is not None:
        return look(
            what,
            f"{file} is damaged: {fault}",
            "Stop the service, keep the file, and restore the last backup (clutchweather restore). "
            "A damaged card does it again: move to a new one.",
        )
    how = "Looked through whole" if deep else "Looked through quickly (--deep looks at all of it)"
    return well(what, f"{how}: sound.")
