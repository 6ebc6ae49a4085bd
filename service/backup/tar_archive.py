"""A backup as one file: a tar archive in gzip, the list of contents first.

Reading trusts nothing: no more is unpacked than the list tells, only plain files of exactly
the names and sizes told, and the stream is read to its end, where gzip's own sum over
everything stands (RFC 1952). What Python's ``tarfile`` would unpack on its own (links,
devices, names with ``..``) never comes to that.
"""

import gzip
import hashlib
import io
import tarfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from service.backup.errors import DamagedBackupError, NewerBackupError
from service.backup.manifest import FORMAT, MANIFEST, Manifest, Member, read_manifest
from service.backup.private_file import new_private_file

LARGEST_MANIFEST = 1024 * 1024
_PIECE = 256 * 1024
_OF_A_MEMBER = 8 * 1024
"""Headers of one member, with room for a long name."""

_LEVEL = 3
"""On a small machine more costs minutes and gains little."""


def write_archive(file: IO[bytes], manifest: Manifest, sources: Mapping[str, Path]) -> None:
    """Write the list and the members, each from the file that ``sources`` names.

    Raises:
        OSError: a file can't be read or written.
    """
    text = manifest.model_dump_json(indent=1).encode()
    with (
        gzip.GzipFile(
            filename="", mode="wb", fileobj=file, compresslevel=_LEVEL, mtime=0
        ) as packed,
        tarfile.open(fileobj=packed, mode="w|", format=tarfile.PAX_FORMAT) as tar,
    ):
        tar.addfile(_header(MANIFEST, len(text), 0o600, manifest), io.BytesIO(text))
        for member in manifest.members:
            with sources[member.name].open("rb") as source:
                tar.addfile(_header(member.name, member.size, member.mode, manifest), source)


def peek(archive: Path) -> Manifest:
    """The list of contents alone, without looking at the rest.

    Raises:
        DamagedBackupError, NewerBackupError: it is not a backup that this version can read.
        OSError: the file can't be read.
    """
    with _opened(archive) as (tar, _):
        return _manifest(tar)


def unpack(archive: Path, folder: Path, ready: Callable[[Manifest], None]) -> Manifest:
    """Unpack all members below ``folder`` and look at each one's size and digest.

    ``ready`` is called with the list before anything is written; it may raise.

    Raises:
        DamagedBackupError, NewerBackupError: not a whole backup that this version can read.
        OSError: the archive can't be read, or the disk is full.
    """
    with _opened(archive) as (tar, stream):
        manifest = _manifest(tar)
        ready(manifest)
        stream.allow(manifest.size + (len(manifest.members) + 8) * _OF_A_MEMBER)
        missing = {member.name: member for member in manifest.members}
        while (header := tar.next()) is not None:
            member = missing.pop(header.name, None)
            if member is None:
                raise DamagedBackupError("something is in it that its list does not name")
            _unpack_one(tar, header, member, folder)
        if missing:
            raise DamagedBackupError(f"{min(missing)} is missing in it")
        stream.read_to_the_end()
    return manifest


def digest_of(file: Path) -> str:
    """SHA-256 of what stands in a file."""
    with file.open("rb") as opened:
        return hashlib.file_digest(opened, "sha256").hexdigest()


class _Limited(io.RawIOBase):
    """A stream that gives out no more than it was allowed to."""

    def __init__(self, stream: io.BufferedIOBase) -> None:
        super().__init__()
        self._stream = stream
        self._left = LARGEST_MANIFEST + 4 * _OF_A_MEMBER

    def allow(self, more: int) -> None:
        self._left += more

    def read(self, size: int = -1) -> bytes:
        piece = self._stream.read(min(size, _PIECE) if size >= 0 else _PIECE)
        self._left -= len(piece)
        if self._left < 0:
            raise DamagedBackupError("it unpacks to more than its list tells")
        return piece

    def read_to_the_end(self) -> None:
        """What stands behind the last member is padding."""
        while piece := self.read(_PIECE):
            if piece.strip(b"\0"):
                raise DamagedBackupError("something stands behind its end")


@contextmanager
def _opened(archive: Path) -> Iterator[tuple[tarfile.TarFile, _Limited]]:
    with archive.open("rb") as file, _told_as_damage(), gzip.GzipFile(fileobj=file) as packed:
        stream = _Limited(packed)
        with tarfile.open(fileobj=stream, mode="r|") as tar:
            yield tar, stream


@contextmanager
def _told_as_damage() -> Iterator[None]:
    """Turn what the readers of gzip and tar raise into a plain sentence."""
    try:
        yield
    except (gzip.BadGzipFile, EOFError, zlib.error, tarfile.TarError) as error:
        raise DamagedBackupError("it is not a whole backup of Clutchweather") from error
    except (ValueError, OverflowError, MemoryError) as error:
        if isinstance(error, DamagedBackupError | NewerBackupError):
            raise
        raise DamagedBackupError("it is not a whole backup of Clutchweather") from error


def _manifest(tar: tarfile.TarFile) -> Manifest:
    header = tar.next()
    if header is None or header.name != MANIFEST or not _is_plain(header):
        raise DamagedBackupError("it is not a backup of Clutchweather: no list stands first in it")
    if header.size > LARGEST_MANIFEST:
        raise DamagedBackupError("its list of contents is too long")
    source = tar.extractfile(header)
    manifest = read_manifest(b"" if source is None else source.read())
    if manifest.format > FORMAT:
        raise NewerBackupError(
            f"it was made by version {manifest.version}, in a form that this version does not "
            "know; use that version or a newer one"
        )
    return manifest


def _is_plain(header: tarfile.TarInfo) -> bool:
    return header.type in {tarfile.REGTYPE, tarfile.AREGTYPE} and not header.issparse()


def _unpack_one(
    tar: tarfile.TarFile, header: tarfile.TarInfo, member: Member, folder: Path
) -> None:
    if not _is_plain(header) or header.size != member.size:
        raise DamagedBackupError(f"{member.name} is not as its list tells")
    target = folder / member.name
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    source = tar.extractfile(header)
    digest = hashlib.sha256()
    with new_private_file(target) as file:
        while source is not None and (piece := source.read(_PIECE)):
            digest.update(piece)
            file.write(piece)
    if digest.hexdigest() != member.sha256:
        raise DamagedBackupError(f"{member.name} is not as its list tells")


def _header(name: str, size: int, mode: int, manifest: Manifest) -> tarfile.TarInfo:
    header = tarfile.TarInfo(name)
    header.size = size
    header.mode = mode
    header.mtime = int(manifest.made_at.timestamp())
    return header
