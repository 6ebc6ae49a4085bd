"""Gathers what a backup is made of: copies that nothing changes while they are packed."""

import shutil
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path, PurePosixPath

from service.backup.contents import LARGEST_FILE, kept_files
from service.backup.errors import BackupNotMadeError, DamagedBackupError, NoRoomError
from service.backup.manifest import (
    DATA,
    ELSEWHERE,
    FORMAT,
    KIND,
    DatabaseFacts,
    Folder,
    Manifest,
    Member,
)
from service.backup.named_files import kept_document, named_files, shed_name, toml_document
from service.backup.sqlite_snapshot import copy_database, facts_of
from service.backup.tar_archive import digest_of
from service.errors import ConfigurationError, InputError
from service.settings.build import name_from_id
from service.settings.load import FILE_NAME, LAST_GOOD_NAME, default_settings, load_settings
from service.settings.settings import Settings

RESERVE_BYTES = 200_000_000
"""Below this a full disk is near: what can wait (a backup) must leave it to the readings."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Collected:
    """The list, and for each member the copy to pack. ``left_out`` are sentences."""

    manifest: Manifest
    sources: Mapping[str, Path]
    left_out: tuple[str, ...]


class _Staging:
    """Copies below one folder, each under the name that it has in the backup."""

    def __init__(self, data: Path, folder: Path) -> None:
        self.data = data
        self.folder = folder
        self.lay_at: dict[str, Path] = {}
        self.facts: dict[str, DatabaseFacts] = {}
        self.left_out: list[str] = []

    @property
    def sources(self) -> dict[str, Path]:
        return {name: self.folder / name for name in self.lay_at}

    def add_database(self, file: Path) -> str | None:
        """Its name in the backup; None where nothing was stored in it yet."""
        if not file.is_file():
            return None
        name = self._take(file)
        copy_database(file, self.folder / name)
        self.facts[name] = _facts(self.folder / name, file)
        return name

    def add(self, file: Path) -> None:
        """Copy a file; where that should not be, say so."""
        if file in self.lay_at.values():
            return
        if not file.is_file():
            self.left_out.append(f"{file} is named in the configuration and is not there")
        elif file.stat().st_size > LARGEST_FILE:
            most = LARGEST_FILE // 1024**2
            self.left_out.append(f"{file} is left out: it is larger than {most} MB")
        else:
            self._copy(file)

    def folders(self) -> tuple[Folder, ...]:
        """Those of the data folder that members lie in, with who may look into them."""
        inside = {
            folder
            for file in self.lay_at.values()
            if file.is_relative_to(self.data)
            for folder in file.relative_to(self.data).parents
            if folder.parts
        }
        return tuple(
            Folder(
                name=str(PurePosixPath(DATA) / folder),
                mode=(self.data / folder).stat().st_mode & 0o2777,
                group=_group(self.data / folder),
            )
            for folder in sorted(inside)
        )

    def _copy(self, file: Path) -> None:
        name = self._take(file)
        try:
            shutil.copyfile(file, self.folder / name)
        except FileNotFoundError:  # somebody has just removed it
            del self.lay_at[name]

    def members(self) -> tuple[Member, ...]:
        return tuple(
            _member(name, self.folder / name, lay_at) for name, lay_at in self.lay_at.items()
        )

    def _take(self, file: Path) -> str:
        inside = file.is_relative_to(self.data)
        name = (
            str(PurePosixPath(DATA) / file.relative_to(self.data))
            if inside
            else f"{ELSEWHERE}/{len(self.lay_at)}-{file.name}"
        )
        (self.folder / name).parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        self.lay_at[name] = file
        return name


def collect(data: Path, config: Path | None, staged: Path, now: datetime) -> Collected:
    """Copy everything that belongs to the shed below ``staged``, the databases first.

    Raises:
        InputError: there is nothing to keep.
        NoRoomError: the disk of ``staged`` has too little room.
        BackupNotMadeError: a database can't be read, or is damaged.
        OSError: a file can't be read or written.
    """
    staged.mkdir()
    settings = _settings(data, config)
    records = Path(settings.records_url.removeprefix("sqlite:///"))
    _look_at_room([settings.readings_file, records], data, staged)
    staging = _Staging(data, staged)
    readings_name = staging.add_database(settings.readings_file)
    records_name = staging.add_database(records)
    documents = _documents(data, config, None if records_name is None else staged / records_name)
    for file in _files(data, config, documents):
        staging.add(file)
    if not staging.lay_at:
        raise InputError(f"{data}: there is nothing here yet that a backup could keep")
    manifest = Manifest(
        kind=KIND,
        format=FORMAT,
        version=_version(),
        made_at=now,
        shed_name=shed_name(documents) or name_from_id(settings.shed_id),
        readings=readings_name,
        records=records_name,
        databases=staging.facts,
        members=staging.members(),
        folders=staging.folders(),
    )
    return Collected(manifest=manifest, sources=staging.sources, left_out=tuple(staging.left_out))


def _look_at_room(databases: Sequence[Path], data: Path, folder: Path) -> None:
    """The copies and the packed file are there together for a while."""
    copied = sum(_size_with_log(file) for file in databases if file.is_file())
    needed = 2 * copied + LARGEST_FILE // 4
    if folder.stat().st_dev == data.stat().st_dev:
        needed += RESERVE_BYTES
    free = shutil.disk_usage(folder).free
    if free < needed:
        raise NoRoomError(
            f"{folder.parent.parent}: {free / 1e6:.0f} MB are free and a backup needs "
            f"{needed / 1e6:.0f} MB there; none was made. Put it on another disk, or make room."
        )


def _size_with_log(file: Path) -> int:
    log = file.with_name(file.name + "-wal")
    return file.stat().st_size + (log.stat().st_size if log.exists() else 0)


def _facts(copy: Path, source: Path) -> DatabaseFacts:
    try:
        return facts_of(copy)
    except DamagedBackupError as error:
        raise BackupNotMadeError(
            f"{source}: {error}. A copy of it would be no backup: none was made, and the earlier "
            "ones are as they were. Restore one of them, or start the service, which puts a "
            "damaged file of readings aside."
        ) from error


def _settings(data: Path, config: Path | None) -> Settings:
    """Where the databases lie; a fault in the file must not stand in the way of a backup."""
    for file in (config, data / LAST_GOOD_NAME):
        with suppress(ConfigurationError):
            return load_settings(file, data)
    return default_settings(data)


def _documents(data: Path, config: Path | None, records: Path | None) -> list[Mapping[str, object]]:
    documents = [toml_document(config or data / FILE_NAME)]
    if records is not None:
        documents.append(kept_document(records))
    return [*documents, toml_document(data / LAST_GOOD_NAME)]


def _files(data: Path, config: Path | None, documents: list[Mapping[str, object]]) -> list[Path]:
    """All but the databases: what lies in the data folder, and what the documents name."""
    named = [*([config] if config else []), *named_files(documents, data)]
    inside = [data / name for name in kept_files(data)]
    return list(dict.fromkeys([*inside, *(file.parent.resolve() / file.name for file in named)]))


def _member(name: str, source: Path, lay_at: Path) -> Member:
    return Member(
        name=name,
        size=source.stat().st_size,
        sha256=digest_of(source),
        mode=lay_at.stat().st_mode & 0o777,
        group=_group(lay_at),
        lay_at=str(lay_at) if name.startswith(ELSEWHERE) else None,
    )


def _group(path: Path) -> str | None:
    try:
        return path.group()
    except (KeyError, OSError):
        return None


def _version() -> str:
    try:
        return version("clutchweather")
    except PackageNotFoundError:
        return "unknown"
