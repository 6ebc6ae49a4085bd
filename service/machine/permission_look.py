"""Who may read and write the shed's files: databases by nobody else, secrets least of all."""

import os
from collections.abc import Iterable, Sequence
from pathlib import Path

from service.machine.finding import Finding, cannot_tell, look, well


def look_at_folder(data: Path, databases: Sequence[Path]) -> Finding:
    """Whether the owner of the folder owns the databases, and can write them."""
    what = "data folder"
    try:
        folder = data.stat()
        strangers = [
            file.name for file in _with_companions(databases) if file.stat().st_uid != folder.st_uid
        ]
    except OSError as error:
        return cannot_tell(what, f"{data} can't be looked at: {error.strerror}.",
                           "Run this as the user that the service runs as.")  # fmt: skip
    if strangers:
        return look(
            what,
            f"{', '.join(strangers)} in {data} belong to another user than the folder: the "
            "service may not be able to write them.",
            f"sudo chown -R --reference={data} {data}",
        )
    if folder.st_mode & 0o002:
        return look(what, f"Everybody on this machine may write into {data}.", f"chmod o-w {data}")
    if folder.st_mode & 0o001 and any(file.stat().st_mode & 0o004 for file in databases):
        return look(
            what,
            f"Everybody on this machine may read the databases in {data}; the records hold "
            "what passwords are compared with.",
            f"chmod o-rwx {data}",
        )
    return well(what, f"{data} and the databases are closed to others.")


def look_at_secrets(secrets: Iterable[Path]) -> Finding:
    """Passwords, keys and backups: for their owner alone."""
    what = "secrets"
    there = [file for file in secrets if file.is_file()]
    open_ones = [str(file) for file in there if file.stat().st_mode & 0o077]
    if open_ones:
        return look(
            what,
            f"Not only their owner may read: {', '.join(open_ones)}.",
            f"chmod 600 {' '.join(open_ones)}",
        )
    if not there:
        return well(what, "There are no files with passwords or keys.")
    files = "file" if len(there) == 1 else f"{len(there)} files"
    return well(what, f"Only their owner may read the {files} with passwords and keys.")


def _with_companions(databases: Sequence[Path]) -> list[Path]:
    return [
        beside
        for file in databases
        for ending in ("", "-wal", "-shm", "-journal")
        if os.path.lexists(beside := file.with_name(file.name + ending))
    ]
