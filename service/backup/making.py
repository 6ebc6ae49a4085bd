"""Makes a backup: everything that a new memory card needs, in one file, and proves it.

The databases are copied while watch and pages write to them, the rest is copied beside them,
all is packed into ``NAME.part``, synced, unpacked again and compared; only then the file gets
its name. It holds passwords and keys: nobody but its owner may read it.
"""

import os
import re
import shutil
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from service.backup.collecting import Collected, collect
from service.backup.contents import BACKUPS, UNFINISHED
from service.backup.errors import BackupNotMadeError, DamagedBackupError
from service.backup.last_backup import note_backup
from service.backup.manifest import Manifest
from service.backup.private_file import give_to_the_owner, new_private_file, sync_folder
from service.backup.sqlite_snapshot import facts_of
from service.backup.tar_archive import unpack, write_archive
from service.errors import InputError

KEPT_BACKUPS = 14
_OURS = re.compile(r"clutchweather-\d{8}T\d{6}Z(-\d+)?\.tar\.gz")
_STALE_AFTER_S = 24 * 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupMade:
    """A backup that was unpacked again and found whole.

    ``counts`` are the rows of each table, ``left_out`` and ``warnings`` sentences to show,
    ``same_disk`` whether it lies on the very disk whose loss it is for.
    """

    file: Path
    at: datetime
    size_bytes: int
    shed_name: str
    counts: Mapping[str, int]
    newest_reading_at: datetime | None
    same_disk: bool
    left_out: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def make_backup(
    data: Path, dest: Path | None = None, *, now: datetime, config: Path | None = None
) -> BackupMade:
    """Make a backup of a data folder and verify it.

    Args:
        data: the data folder; it may be in use.
        dest: a folder, or the name of a file ending in ``.tar.gz`` that is not there yet.
            None: ``backups`` in the data folder, where the newest KEPT_BACKUPS are kept.
        now: the time that stands in the backup and in its name.
        config: the configuration file, where it is not the one in the data folder.

    Raises:
        InputError: there is nothing to keep, or ``dest`` can't be used.
        NoRoomError: a disk has too little room.
        BackupNotMadeError: the data or the copy is not sound, or can't be read or written.
    """
    if not data.is_dir():
        raise InputError(f"{data}: there is no such data folder")
    data = data.resolve()
    now = now.astimezone(UTC)
    folder, name = _where_to(data, dest)
    try:
        _make_folder(folder, data)
        with _unfinished(folder) as work:
            collected = collect(data, config, work / "staged", now)
            file = _write(collected, work, folder, name, data)
    except OSError as error:
        raise BackupNotMadeError(f"no backup was made: {_in_words(error)}") from error
    warnings = _afterwards(data, file, now, prune=dest is None)
    return _made(collected, file, data, now, warnings)


def _where_to(data: Path, dest: Path | None) -> tuple[Path, str | None]:
    """The folder, and the name of the file where one was given."""
    if dest is None:
        return data / BACKUPS, None
    if not dest.is_dir() and dest.name.endswith((".tar.gz", ".tgz")):
        if os.path.lexists(dest):
            raise InputError(f"{dest}: is there already; a backup replaces nothing")
        return dest.absolute().parent, dest.name
    if os.path.lexists(dest) and not dest.is_dir():
        raise InputError(f"{dest}: neither a folder nor the name of a new file *.tar.gz")
    return dest.absolute(), None


def _make_folder(folder: Path, data: Path) -> None:
    """One of our own belongs to whom the data belongs to, also where root makes the backup."""
    if folder.is_dir():
        return
    folder.mkdir(parents=True, mode=0o700)
    give_to_the_owner(folder, data)


@contextmanager
def _unfinished(folder: Path) -> Iterator[Path]:
    """A folder for what is in the making, on the disk that the backup goes to."""
    for old in folder.glob(f"{UNFINISHED}*"):
        with suppress(OSError):
            if time.time() - old.stat().st_mtime > _STALE_AFTER_S:
                shutil.rmtree(old)
    with tempfile.TemporaryDirectory(dir=folder, prefix=UNFINISHED) as work:
        yield Path(work)


def _write(collected: Collected, work: Path, folder: Path, name: str | None, data: Path) -> Path:
    """Pack, unpack, compare, and give the file its name."""
    stamp = f"clutchweather-{collected.manifest.made_at:%Y%m%dT%H%M%SZ}"
    part = folder / f"{name or stamp}.{os.getpid()}.part"
    try:
        with new_private_file(part) as file:
            write_archive(file, collected.manifest, collected.sources)
            file.flush()
            os.fsync(file.fileno())
        shutil.rmtree(work / "staged")
        _verify(part, work / "verified", collected.manifest)
        target = folder / name if name else _free_name(folder, stamp)
        give_to_the_owner(part, data)
        part.rename(target)
        sync_folder(folder)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return target


def _verify(part: Path, folder: Path, told: Manifest) -> None:
    """Open the archive as a restore would, and count."""
    folder.mkdir()
    try:
        manifest = unpack(part, folder, ready=lambda _: None)
        for name, facts in manifest.databases.items():
            if facts_of(folder / name) != facts:
                raise BackupNotMadeError(
                    f"{name} is not the same in the backup; it was thrown away"
                )
    except DamagedBackupError as error:
        raise BackupNotMadeError(
            f"the backup can't be read again and was thrown away: {error}"
        ) from error
    if manifest != told:
        raise BackupNotMadeError("the list in the backup is not the same; it was thrown away")


def _free_name(folder: Path, stamp: str) -> Path:
    number = 1
    target = folder / f"{stamp}.tar.gz"
    while target.exists():
        number += 1
        target = folder / f"{stamp}-{number}.tar.gz"
    return target


def _keep_the_newest(folder: Path) -> None:
    ours = sorted(
        (file for file in folder.iterdir() if _OURS.fullmatch(file.name)),
        key=lambda file: (file.stat().st_mtime_ns, file.name),
    )
    for old in ours[:-KEPT_BACKUPS]:
        old.unlink(missing_ok=True)


def _afterwards(data: Path, file: Path, now: datetime, *, prune: bool) -> tuple[str, ...]:
    """What may fail although the backup is good, told in sentences."""
    told = []
    try:
        note_backup(data, at=now, file=file)
        if prune:
            _keep_the_newest(file.parent)
    except OSError as error:
        told.append(f"the backup is good, but {_in_words(error)}")
    if file.stat().st_mode & 0o077:
        told.append(
            f"{file.parent}: this disk keeps no permissions; whoever holds it can read the "
            "passwords and keys in the backup. Keep it where you keep your keys."
        )
    return tuple(told)


def _made(
    collected: Collected, file: Path, data: Path, now: datetime, warnings: tuple[str, ...]
) -> BackupMade:
    found = file.stat()
    return BackupMade(
        file=file,
        at=now,
        size_bytes=found.st_size,
        shed_name=collected.manifest.shed_name,
        counts=collected.manifest.counts(),
        newest_reading_at=collected.manifest.newest_reading_at,
        same_disk=found.st_dev == data.stat().st_dev,
        left_out=collected.left_out,
        warnings=warnings,
    )


def _in_words(error: OSError) -> str:
    return f"{error.filename}: {error.strerror}" if error.filename else str(error.strerror or error)
