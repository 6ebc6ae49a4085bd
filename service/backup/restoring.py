"""Puts a backup in the place of what a data folder holds, once it has proved to be whole.

Until everything is unpacked and looked at, nothing that is there is touched; and then nothing
is deleted: what was there before lies in ``before-restore-…``.
"""

import grp
import os
import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from service.backup.contents import RESTORING, companions, is_kept, kept_files
from service.backup.errors import (
    DamagedBackupError,
    NewerBackupError,
    NoRoomError,
    RestoreUnfinishedError,
)
from service.backup.manifest import DATA, Manifest
from service.backup.private_file import sync_folder
from service.backup.restore_journal import Swapped, finish, is_cut_short, staging_folder, swap
from service.backup.sqlite_snapshot import facts_of
from service.backup.tar_archive import peek, unpack
from service.errors import AlreadyRunningError, InputError
from service.intake.data_lock import DataLock
from service.store.sql_schema import NEWEST
from service.store.sqlite_layout import LAYOUT

ROOM_TO_SPARE = 50_000_000
MOST_TIMES_LARGER = 200
"""Databases shrink to a tenth or a thirtieth when packed."""

FLOOR = 64 * 1024 * 1024
PROCESSES = Path("/proc")


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What there is now, counted in the data folder itself.

    ``aside`` is where the old data lies; ``from_elsewhere`` says of each file that lay outside
    the data folder where it is now and where it lay; ``finished_first`` whether an earlier
    restore had to be finished before.
    """

    made_at: datetime
    version: str
    shed_name: str
    counts: Mapping[str, int]
    newest_reading_at: datetime | None
    aside: Path | None
    from_elsewhere: tuple[tuple[Path, str], ...]
    finished_first: bool


def restore(source: Path, data: Path, *, now: datetime) -> Restored:
    """Replace what is in a data folder by what is in a backup.

    Args:
        source: the backup, a file.
        data: the data folder; made when missing.
        now: the time that stands in the name of the folder with the old data.

    Raises:
        InputError: ``source`` is no whole backup that this version can read. Nothing changed.
        AlreadyRunningError: a watch, or the pages, are at work in the data folder.
        NoRoomError: the disk has too little room. Nothing changed.
        RestoreUnfinishedError: it was cut short by the machine; the next start finishes it.
    """
    _look_at(source)
    data.mkdir(parents=True, exist_ok=True, mode=0o700)
    with DataLock(data):
        data = data.resolve()
        try:
            put = _put_in_place(source, data, f"{now.astimezone(UTC):%Y%m%dT%H%M%SZ}")
        except OSError as error:
            words = f"{error.strerror or error} ({error.filename or data})"
            if is_cut_short(data):
                raise RestoreUnfinishedError(
                    f"{data}: the restore was cut short: {words}. Mend that, then run it again or "
                    "start the service: it will be finished."
                ) from error
            raise RestoreUnfinishedError(f"nothing was changed: {words}") from error
        return _told(put, data)


def _look_at(source: Path) -> None:
    """The first things that are wrong, before anything is made."""
    if not source.is_file():
        raise InputError(f"{source}: there is no such file")
    try:
        with _told_of(source):
            _refuse_newer(peek(source))
    except OSError as error:
        raise InputError(f"{source}: can't be read: {error.strerror}") from error


@dataclass(frozen=True, slots=True, kw_only=True)
class _Put:
    manifest: Manifest
    swapped: Swapped
    finished_first: bool


def _put_in_place(source: Path, data: Path, stamp: str) -> _Put:
    _refuse_where_open(data)
    finished_first = is_cut_short(data)
    if finished_first:
        finish(data)
    for left in data.glob(f"{RESTORING}*"):  # unpacked once, and nothing came of it
        shutil.rmtree(left)
    stamp = _free_stamp(data, stamp)
    staged = staging_folder(data, stamp)
    try:
        staged.mkdir(mode=0o700)
        with _told_of(source):
            manifest = unpack(source, staged, ready=lambda told: _refuse_bombs(told, source, data))
            _look_whole(manifest, staged)
        _log_everyone_out(manifest, staged)
        _make_ready(manifest, staged, data)
        swapped = swap(data, stamp)
    except BaseException:
        if not is_cut_short(data):
            shutil.rmtree(staged, ignore_errors=True)
        raise
    return _Put(manifest=manifest, swapped=swapped, finished_first=finished_first)


class _told_of:  # noqa: N801 - reads as a word in ``with``
    """Says of which file a fault is."""

    def __init__(self, source: Path) -> None:
        self._source = source

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if isinstance(error, DamagedBackupError | NewerBackupError):
            raise type(error)(f"{self._source}: {error}. Nothing was changed.") from error


def _refuse_where_open(data: Path) -> None:
    """Pages hold no lock, and would go on writing into what was put aside."""
    ours = {
        str(data / name) for kept in kept_files(data) for name in (kept, *companions(data, kept))
    }
    for process in PROCESSES.glob("[0-9]*"):
        if process.name != str(os.getpid()) and ours & set(_open_files(process)):
            raise AlreadyRunningError(
                f"{data}: process {process.name} has its files open (the pages, perhaps). Stop it "
                "first: it would go on writing into the old ones. Nothing was changed."
            )


def _open_files(process: Path) -> Iterator[str]:
    try:
        for descriptor in (process / "fd").iterdir():
            yield str(descriptor.readlink())
    except OSError:  # it has ended, or is another user's
        return


def _refuse_newer(manifest: Manifest) -> None:
    known = {manifest.readings: LAYOUT, manifest.records: int(NEWEST)}
    for name, facts in manifest.databases.items():
        if facts.layout > known[name]:
            raise NewerBackupError(
                f"it was made by version {manifest.version}; its {name.rpartition('/')[2]} has "
                f"layout {facts.layout}, and this version knows layouts up to {known[name]}. "
                "Update Clutchweather first"
            )


def _refuse_bombs(manifest: Manifest, source: Path, data: Path) -> None:
    packed = source.stat().st_size
    if manifest.size > FLOOR + MOST_TIMES_LARGER * packed:
        raise DamagedBackupError(
            f"it would unpack from {packed / 1e6:.1f} to {manifest.size / 1e6:.0f} MB, as no "
            "backup of ours does"
        )
    wrong = next(
        (one.name for one in manifest.members if one.in_data and not is_kept(one.in_data)), None
    )
    if wrong is not None:
        raise DamagedBackupError(f"{wrong} has no place in a backup")
    free = shutil.disk_usage(data).free
    if free < manifest.size + ROOM_TO_SPARE:
        raise NoRoomError(
            f"{data}: {free / 1e6:.0f} MB are free and this backup needs "
            f"{(manifest.size + ROOM_TO_SPARE) / 1e6:.0f} MB. Nothing was changed."
        )


def _look_whole(manifest: Manifest, staged: Path) -> None:
    """Open both databases and count."""
    for name, told in manifest.databases.items():
        found = facts_of(staged / name)
        if found != told:
            raise DamagedBackupError(f"{name} does not hold what its list tells")


def _log_everyone_out(manifest: Manifest, staged: Path) -> None:
    """Who has logged out since the backup was made must not be in again by a restore."""
    if manifest.records is None or "sessions" not in manifest.databases[manifest.records].counts:
        return
    db = sqlite3.connect(staged / manifest.records, isolation_level=None)
    try:
        db.execute("DELETE FROM sessions")
    except sqlite3.Error as error:
        raise DamagedBackupError(f"{manifest.records} can't be written: {error}") from error
    finally:
        db.close()


def _make_ready(manifest: Manifest, staged: Path, data: Path) -> None:
    """Owners, permissions, and everything on the disk."""
    for member in manifest.members:
        file = staged / member.name
        _give(file, member.mode & 0o755 | 0o600, member.group, data)
        with file.open("rb") as opened:
            os.fsync(opened.fileno())
    for folder in manifest.folders:
        _give(staged / folder.name, folder.mode & 0o2755 | 0o700, folder.group, data)
    for made in (staged, *(inner for inner in staged.rglob("*") if inner.is_dir())):
        sync_folder(made)


def _give(path: Path, mode: int, group: str | None, data: Path) -> None:
    """To the owner of the data folder; the broker, another user, reads by the group."""
    if os.geteuid() == 0:
        owner = data.stat()
        os.chown(path, owner.st_uid, _number_of(group, owner.st_gid))
    path.chmod(mode)


def _number_of(group: str | None, otherwise: int) -> int:
    if group in {None, "root"}:
        return otherwise
    try:
        return grp.getgrnam(str(group)).gr_gid
    except KeyError:
        return otherwise


def _free_stamp(data: Path, stamp: str) -> str:
    number, free = 1, stamp
    while any(data.glob(f"*-{free}")):
        number += 1
        free = f"{stamp}-{number}"
    return free


def _told(put: _Put, data: Path) -> Restored:
    """Counted once more, where it lies now."""
    manifest, elsewhere = put.manifest, put.swapped.from_elsewhere
    found = {
        name: facts_of(data / Path(name).relative_to(DATA))
        for name in manifest.databases
        if name.startswith(f"{DATA}/")
    }
    readings = found.get(manifest.readings or "")
    return Restored(
        made_at=manifest.made_at.astimezone(UTC),
        version=manifest.version,
        shed_name=manifest.shed_name,
        counts={
            table: count
            for facts in found.values()
            for table, count in sorted(facts.counts.items())
        },
        newest_reading_at=readings.newest_reading_at if readings else None,
        aside=put.swapped.aside,
        from_elsewhere=tuple(
            (elsewhere / Path(member.name).name, str(member.lay_at))
            for member in manifest.members
            if elsewhere is not None and member.in_data is None
        ),
        finished_first=put.finished_first,
    )
