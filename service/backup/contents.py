"""What of a data folder goes into a backup, and gives way when one is restored.

All that is there, but for what belongs to this one machine: its locks, what it found
out about its broker and the session there, the messages that wait in its broker, its backups.
A second copy of the shed that runs at once must be a stranger to the broker; so nothing is
carried over by which it would be taken for the first.
"""

import os
import re
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from service.intake.broker_standing import FILE, FOLDER
from service.intake.data_lock import LOCK_FILE
from service.intake.session_file import SESSION_FILE

BACKUPS = "backups"
LAST_BACKUP = "last-backup.json"
JOURNAL = "restore-journal.json"
ASIDE = "before-restore-"
FROM_ELSEWHERE = "from-elsewhere-"
UNFINISHED = ".clutchweather-unfinished-"
RESTORING = ".restoring-"

LARGEST_FILE = 64 * 1024 * 1024
"""Beside the databases nothing of ours comes near it."""

_OF_THIS_MACHINE = frozenset(
    PurePosixPath(name)
    for name in (LOCK_FILE, SESSION_FILE, LAST_BACKUP, JOURNAL, f"{FOLDER}/{FILE}")
)
_FOLDERS_LEFT = re.compile(
    rf"{BACKUPS}|lost\+found"
    rf"|({'|'.join(map(re.escape, (ASIDE, FROM_ELSEWHERE, UNFINISHED, RESTORING)))}).*"
)
_LEFT_OUT = re.compile(
    r".*(-wal|-shm|-journal|\.new|\.part|\.pid|\.log|\.sock|\.lock)"  # in the making, or passing
    r"|mosquitto\.db.*"  # messages on their way, and sessions
    r"|clutchweather-\d{8}T\d{6}Z(-\d+)?\.tar\.gz"
    r"|.*\.damaged-\d{8}T\d{6}(-wal|-shm)?"
)


def kept_files(data: Path) -> Iterator[PurePosixPath]:
    """Names, within the data folder, of all files that make this shed what it is.

    Links to files count as files; links to folders are not followed.
    """
    yield from _kept_in(data, PurePosixPath())


def is_kept(name: PurePosixPath) -> bool:
    """Whether a file of that name is part of the shed, and not of the machine."""
    if name in _OF_THIS_MACHINE:
        return False
    if _FOLDERS_LEFT.fullmatch(name.parts[0]) and len(name.parts) > 1:
        return False
    return _LEFT_OUT.fullmatch(name.name) is None


BESIDE_A_DATABASE = ("-wal", "-shm", "-journal")
"""They belong to one database file and would spoil another that came in its place."""


def companions(data: Path, name: PurePosixPath) -> Iterator[PurePosixPath]:
    """The files that SQLite keeps beside ``name``, as far as they are there."""
    for ending in BESIDE_A_DATABASE:
        beside = name.with_name(name.name + ending)
        if os.path.lexists(data / beside):
            yield beside


def _kept_in(data: Path, folder: PurePosixPath) -> Iterator[PurePosixPath]:
    for entry in sorted((data / folder).iterdir()):
        name = folder / entry.name
        if entry.is_dir():
            if not entry.is_symlink() and not (
                len(name.parts) == 1 and _FOLDERS_LEFT.fullmatch(entry.name)
            ):
                yield from _kept_in(data, name)
        elif entry.is_file() and is_kept(name):
            yield name
