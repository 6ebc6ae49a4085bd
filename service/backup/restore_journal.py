"""Puts an unpacked backup in the place of what is there, so that no kill leaves half of it.

Before anything is moved, what shall be moved is written down and synced. From then on there
is one way, forward: whoever finds the note (the next restore, the next start) does what is
still to do. Each move is one ``rename`` on one disk, and moving twice does nothing more than
moving once. Nothing is deleted but the note, and the folder that was unpacked into, empty.
"""

import json
import os
import time
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from pydantic import BaseModel, ConfigDict, ValidationError

from service.backup.contents import (
    ASIDE,
    FROM_ELSEWHERE,
    JOURNAL,
    RESTORING,
    companions,
    kept_files,
)
from service.backup.errors import RestoreUnfinishedError
from service.backup.manifest import DATA, ELSEWHERE
from service.backup.private_file import new_private_file, sync_folder
from service.errors import AlreadyRunningError
from service.intake.data_lock import DataLock

MEANWHILE = "meanwhile"
"""What was made by somebody who started between a kill and the end of the restore."""

_PATIENCE_S = 60.0


class _Written(BaseModel):
    """The note: ``stamp`` names the folders, ``out`` and ``into`` are names in the data folder."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    stamp: str
    out: list[str]
    into: list[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Swapped:
    """``aside`` holds what was there before, None where nothing was; ``from_elsewhere`` what
    lay outside the data folder, None where nothing did.
    """

    aside: Path | None
    from_elsewhere: Path | None


def swap(data: Path, stamp: str) -> Swapped:
    """Put what lies in the staging folder of ``stamp`` in place; the caller holds the lock.

    Raises:
        OSError: something could not be moved; if the note is written it can be finished.
    """
    staged = staging_folder(data, stamp)
    old = [name for kept in kept_files(data) for name in (kept, *companions(data, kept))]
    new = [
        PurePosixPath(file.relative_to(staged / DATA).as_posix())
        for file in sorted((staged / DATA).rglob("*"))
        if not file.is_dir()
    ]
    for name in {*old, *new}:
        _refuse_other_disks(data, name)
    _make_folders(data / f"{ASIDE}{stamp}", old, like=data)
    _make_folders(data, new, like=staged / DATA)
    _write(data, _Written(stamp=stamp, out=[str(n) for n in old], into=[str(n) for n in new]))
    return finish(data)


def staging_folder(data: Path, stamp: str) -> Path:
    """Where a backup is unpacked: on the same disk as what it shall replace."""
    return data / f"{RESTORING}{stamp}"


def is_cut_short(data: Path) -> bool:
    """Whether a restore was begun here and not finished."""
    return (data / JOURNAL).exists()


def settle(data: Path) -> Swapped | None:
    """Before anything opens a data folder: finish a restore that was cut short.

    Raises:
        RestoreUnfinishedError: it can't be finished; the message tells why.
        AlreadyRunningError: another process holds the folder and does not finish it.
    """
    give_up_at = time.monotonic() + _PATIENCE_S
    while is_cut_short(data):
        try:
            with DataLock(data):
                return finish(data) if is_cut_short(data) else None
        except AlreadyRunningError:
            if time.monotonic() > give_up_at:
                raise
            time.sleep(0.1)
        except OSError as error:
            raise RestoreUnfinishedError(
                f"{data}: a restore was cut short and can't be finished: {error.strerror} "
                f"({error.filename}). Mend that and start again: nothing is lost."
            ) from error
    return None


def finish(data: Path) -> Swapped:
    """Do what the note says and is not yet done; the caller holds the lock.

    Raises:
        RestoreUnfinishedError: the note can't be read.
        OSError: something could not be moved; call it again.
    """
    note = _read(data)
    aside = data / f"{ASIDE}{note.stamp}"
    staged = staging_folder(data, note.stamp)
    for name in note.out:
        if not os.path.lexists(aside / name):
            _move(data / name, aside / name)
    for name in note.into:
        if (staged / DATA / name).exists():
            _put_meanwhile_aside(data, aside, PurePosixPath(name))
            _move(staged / DATA / name, data / name)
    elsewhere = data / f"{FROM_ELSEWHERE}{note.stamp}"
    _move(staged / ELSEWHERE, elsewhere)
    for folder in {data, aside, *((data / name).parent for name in note.into)}:
        if folder.is_dir():
            sync_folder(folder)
    (data / JOURNAL).unlink()
    sync_folder(data)
    remove_empty_folders(staged)
    return Swapped(
        aside=aside if aside.is_dir() else None,
        from_elsewhere=elsewhere if elsewhere.is_dir() else None,
    )


def remove_empty_folders(folder: Path) -> None:
    """A folder and those in it, as far as there is no file in them."""
    for inner in sorted(folder.rglob("*"), reverse=True):
        with suppress(OSError):
            inner.rmdir()
    with suppress(OSError):
        folder.rmdir()


def _put_meanwhile_aside(data: Path, aside: Path, name: PurePosixPath) -> None:
    for present in (name, *companions(data, name)):
        if os.path.lexists(data / present):
            target = aside / MEANWHILE / present
            target.parent.mkdir(parents=True, exist_ok=True)
            _move(data / present, target)


def _move(old: Path, new: Path) -> None:
    with suppress(FileNotFoundError):  # moved before, or not there
        old.rename(new)


def _make_folders(root: Path, names: Iterable[PurePosixPath], *, like: Path) -> None:
    """All folders first: a full disk is met before anything is moved."""
    for folder in sorted({folder for name in names for folder in name.parents}):
        if not (root / folder).is_dir():
            told = (like / folder).stat()
            (root / folder).mkdir(mode=0o700)
            with suppress(PermissionError):  # of a group that is not ours
                os.chown(root / folder, told.st_uid if os.geteuid() == 0 else -1, told.st_gid)
            (root / folder).chmod(told.st_mode & 0o2777 if folder.parts else 0o700)


def _refuse_other_disks(data: Path, name: PurePosixPath) -> None:
    disk = data.stat().st_dev
    for folder in name.parents:
        place = data / folder
        if place.is_symlink() or (place.exists() and place.stat().st_dev != disk):
            raise OSError(None, "is a link or another disk; a restore moves within one", str(place))


def _write(data: Path, note: _Written) -> None:
    new = data / f"{JOURNAL}.new"
    new.unlink(missing_ok=True)
    with new_private_file(new) as file:
        file.write(json.dumps(note.model_dump()).encode())
        file.flush()
        os.fsync(file.fileno())
    sync_folder(data)
    new.rename(data / JOURNAL)
    sync_folder(data)


def _read(data: Path) -> _Written:
    file = data / JOURNAL
    try:
        return _Written.model_validate_json(file.read_bytes())
    except (OSError, ValidationError) as error:
        raise RestoreUnfinishedError(
            f"{file}: a restore was cut short, and its note can't be read. What was there before "
            f"is in {data / ASIDE}…, what came from the backup in {data / RESTORING}…"
        ) from error
