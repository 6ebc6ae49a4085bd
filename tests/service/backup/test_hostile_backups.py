"""Archives that are damaged, foreign or meant to do harm: a plain sentence, nothing changed."""

import gzip
import hashlib
import io
import json
import random
import sqlite3
import tarfile
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest

from service.backup.errors import DamagedBackupError, NewerBackupError, NoRoomError
from service.backup.manifest import member_name
from service.backup.restoring import restore
from service.errors import InputError
from tests.service.backup.kept_shed import (
    NOW,
    archive_members,
    archive_of,
    backup_of,
    contents,
    filled_shed,
)


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("whole")
    return backup_of(filled_shed(folder / "data"), folder / "kept.tar.gz").file


@pytest.fixture(scope="module")
def shed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shed that must stay as it is."""
    return filled_shed(tmp_path_factory.mktemp("shed") / "data", celsius=21.0)


def refused(source: Path, shed: Path) -> str:
    """The sentence; the shed is as it was before."""
    before = contents(shed)
    with pytest.raises(InputError) as caught:
        restore(source, shed, now=NOW)
    assert contents(shed) == before
    assert not list(shed.glob(".restoring-*"))
    assert str(source) in str(caught.value)
    return str(caught.value)


def changed(archive: Path, file: Path, change: Callable[[dict[str, object]], None]) -> Path:
    """The same backup with another list of contents."""
    members = archive_members(archive)
    told = json.loads(members["manifest.json"])
    change(told)
    return archive_of(file, {**members, "manifest.json": json.dumps(told).encode()})


def test_of_fifty_flipped_bytes_each_is_found_or_changes_nothing_that_is_unpacked(
    archive: Path, shed: Path, tmp_path: Path
) -> None:
    """Some bytes say nothing (RFC 1952, section 2.3: MTIME, XFL, OS), and long runs of zeros
    can be packed in several ways. The yardstick is gzip of Python, asked for the whole text.
    """
    whole = gzip.decompress(archive.read_bytes())
    found = 0
    for seed in range(50):
        chance = random.Random(seed)
        text = bytearray(archive.read_bytes())
        text[chance.randrange(len(text))] ^= chance.randrange(1, 256)
        source = tmp_path / f"{seed}.tar.gz"
        source.write_bytes(text)
        if unpacked_or_none(source) == whole:
            restore(source, tmp_path / str(seed), now=NOW)
            assert (tmp_path / str(seed) / "own.key").exists()
        else:
            refused(source, shed)
            found += 1
    assert found > 25


def unpacked_or_none(source: Path) -> bytes | None:
    try:
        return gzip.decompress(source.read_bytes())
    except (OSError, EOFError, zlib.error):
        return None


@pytest.mark.parametrize("share", [0.0, 0.001, 0.1, 0.5, 0.9, 0.999])
def test_a_truncated_backup_is_refused(
    archive: Path, shed: Path, tmp_path: Path, share: float
) -> None:
    text = archive.read_bytes()
    source = tmp_path / "cut.tar.gz"
    source.write_bytes(text[: int(len(text) * share)])
    refused(source, shed)


def test_the_last_byte_counts(archive: Path, shed: Path, tmp_path: Path) -> None:
    source = tmp_path / "cut.tar.gz"
    source.write_bytes(archive.read_bytes()[:-1])
    refused(source, shed)


@pytest.mark.parametrize("kind", ["text", "tar", "gzip", "empty tar", "database"])
def test_another_programs_file_is_refused(shed: Path, tmp_path: Path, kind: str) -> None:
    source = tmp_path / "other"
    if kind == "text":
        source.write_text("nothing of the kind")
    elif kind == "tar":
        archive_of(source, {"home/notes.txt": b"x"})
    elif kind == "gzip":
        source.write_bytes(gzip.compress(b"x" * 5000))
    elif kind == "empty tar":
        archive_of(source, {})
    else:
        sqlite3.connect(source).executescript("CREATE TABLE t (a); INSERT INTO t VALUES (1)")
    refused(source, shed)


HARMFUL_NAMES = [
    "/etc/cron.d/x",
    "data/../../x",
    "data/..",
    "../x",
    "data//x",
    "data/./x",
    "data/",
    "data",
    "x",
    "data\\..\\x",
    "elsewhere/../data/x",
    "data/a\nb",
    "data/a\0b",
    "data/a/b/c/d/e/f/g",
    "data/" + "x" * 300,
    "",
]


@pytest.mark.parametrize("name", HARMFUL_NAMES)
def test_a_name_that_leads_out_is_no_name(name: str) -> None:
    with pytest.raises(ValueError, match="not the name"):
        member_name(name)


@pytest.mark.parametrize("name", HARMFUL_NAMES)
def test_a_list_with_a_name_that_leads_out_is_refused(
    archive: Path, shed: Path, tmp_path: Path, name: str
) -> None:
    def rename(told: dict[str, object]) -> None:
        told["members"][-1]["name"] = name  # type: ignore[index]

    refused(changed(archive, tmp_path / "x.tar.gz", rename), shed)


@pytest.mark.parametrize(
    "name",
    [
        "data/clutchweather.lock",
        "data/restore-journal.json",
        "data/broker-session-known",
        "data/backups/x",
        "data/before-restore-x/y",
        "data/.restoring-x/y",
        "data/readings.db-wal",
        "data/records.db-journal",
    ],
)
def test_what_belongs_to_the_machine_is_not_taken_from_a_backup(
    archive: Path, shed: Path, tmp_path: Path, name: str
) -> None:
    members = archive_members(archive)
    told = json.loads(members["manifest.json"])
    told["members"].append(
        {"name": name, "size": 1, "sha256": hashlib.sha256(b"x").hexdigest(), "mode": 384}
    )
    told["folders"] = []
    source = archive_of(
        tmp_path / "x.tar.gz",
        {**members, "manifest.json": json.dumps(told).encode(), name: b"x"},
    )
    assert "no place in a backup" in refused(source, shed)


@pytest.mark.parametrize("name", ["../x", "/tmp/x", "data/more.txt"])
def test_a_member_that_the_list_does_not_name_is_refused(
    archive: Path, shed: Path, tmp_path: Path, name: str
) -> None:
    members = archive_members(archive)
    refused(archive_of(tmp_path / "x.tar.gz", {**members, name: b"x"}), shed)


def test_a_member_that_is_missing_is_told(archive: Path, shed: Path, tmp_path: Path) -> None:
    members = archive_members(archive)
    del members["data/own.key"]
    assert "own.key is missing" in refused(archive_of(tmp_path / "x.tar.gz", members), shed)


def test_a_member_of_another_text_is_refused(archive: Path, shed: Path, tmp_path: Path) -> None:
    members = archive_members(archive)
    members["data/own.key"] = members["data/own.key"][::-1]
    assert "own.key" in refused(archive_of(tmp_path / "x.tar.gz", members), shed)


@pytest.mark.parametrize(
    "kind", [tarfile.SYMTYPE, tarfile.LNKTYPE, tarfile.CHRTYPE, tarfile.FIFOTYPE, tarfile.DIRTYPE]
)
def test_links_devices_and_folders_are_refused(
    archive: Path, shed: Path, tmp_path: Path, kind: bytes
) -> None:
    source = tmp_path / "x.tar.gz"
    with tarfile.open(source, "w:gz") as tar:
        for name, text in archive_members(archive).items():
            header = tarfile.TarInfo(name)
            if name == "data/own.key":
                header.type, header.linkname = kind, "/etc/shadow"
                tar.addfile(header)
            else:
                header.size = len(text)
                tar.addfile(header, io.BytesIO(text))
    assert "own.key" in refused(source, shed)


def test_a_list_that_tells_of_more_than_a_backup_unpacks_to_is_refused(
    archive: Path, shed: Path, tmp_path: Path
) -> None:
    def swell(told: dict[str, object]) -> None:
        told["members"][0]["size"] = 10**10  # type: ignore[index]

    assert "no backup of ours" in refused(changed(archive, tmp_path / "x.tar.gz", swell), shed)


@pytest.mark.parametrize("kind", [tarfile.XHDTYPE, tarfile.GNUTYPE_LONGNAME])
def test_a_bomb_in_a_head_is_not_unpacked(shed: Path, tmp_path: Path, kind: bytes) -> None:
    """A head that claims 300 MB, before the list."""
    source = tmp_path / "bomb.tar.gz"
    header = tarfile.TarInfo("x")
    header.type, header.size = kind, 300 * 1024 * 1024
    with gzip.open(source, "wb", compresslevel=1) as packed:
        packed.write(header.tobuf(tarfile.GNU_FORMAT))
        for _ in range(300):
            packed.write(b"0" * 1024 * 1024)
    assert "unpacks to more" in refused(source, shed)


def test_a_bomb_behind_the_last_member_is_not_unpacked(
    archive: Path, shed: Path, tmp_path: Path
) -> None:
    source = tmp_path / "bomb.tar.gz"
    zeros = gzip.compress(bytes(1024 * 1024), 9)
    source.write_bytes(archive.read_bytes() + zeros * 50)
    assert "unpacks to more" in refused(source, shed)


@pytest.mark.parametrize("name", ["data/readings.db", "data/records.db"])
def test_a_newer_layout_is_told_with_both_numbers(
    archive: Path, shed: Path, tmp_path: Path, name: str
) -> None:
    def make_newer(told: dict[str, object]) -> None:
        told["version"] = "7.1"
        told["databases"][name]["layout"] = 99  # type: ignore[index]

    words = refused(changed(archive, tmp_path / "x.tar.gz", make_newer), shed)
    assert "layout 99" in words
    assert "version 7.1" in words


def test_a_newer_form_of_backup_is_told(archive: Path, shed: Path, tmp_path: Path) -> None:
    def make_newer(told: dict[str, object]) -> None:
        told["format"] = 2

    source = changed(archive, tmp_path / "x.tar.gz", make_newer)
    with pytest.raises(NewerBackupError, match="Nothing was changed"):
        restore(source, shed, now=NOW)


def test_a_database_that_lies_about_its_layout_is_refused(
    archive: Path, shed: Path, tmp_path: Path
) -> None:
    """The list says what this version knows, the file itself does not."""
    members = archive_members(archive)
    file = tmp_path / "readings.db"
    file.write_bytes(members["data/readings.db"])
    db = sqlite3.connect(file)
    db.execute("PRAGMA user_version = 99")
    db.close()
    text = file.read_bytes()
    told = json.loads(members["manifest.json"])
    one = next(one for one in told["members"] if one["name"] == "data/readings.db")
    one.update(size=len(text), sha256=hashlib.sha256(text).hexdigest())
    members |= {"manifest.json": json.dumps(told).encode(), "data/readings.db": text}
    words = refused(archive_of(tmp_path / "x.tar.gz", members), shed)
    assert "does not hold what its list tells" in words


def test_a_damaged_database_is_found_although_its_digest_is_right(
    archive: Path, shed: Path, tmp_path: Path
) -> None:
    members = archive_members(archive)
    text = bytearray(members["data/readings.db"])
    text[4096:] = random.Random(1).randbytes(len(text) - 4096)
    told = json.loads(members["manifest.json"])
    one = next(one for one in told["members"] if one["name"] == "data/readings.db")
    one["sha256"] = hashlib.sha256(text).hexdigest()
    members |= {"manifest.json": json.dumps(told).encode(), "data/readings.db": bytes(text)}
    assert "readings.db" in refused(archive_of(tmp_path / "x.tar.gz", members), shed)


def test_a_flip_that_changes_nothing_inside_restores_the_same(
    archive: Path, tmp_path: Path
) -> None:
    text = bytearray(archive.read_bytes())
    text[5] ^= 0xFF
    source = tmp_path / "x.tar.gz"
    source.write_bytes(text)
    restore(source, tmp_path / "flipped", now=NOW)
    restore(archive, tmp_path / "whole", now=NOW)
    assert contents(tmp_path / "flipped") == contents(tmp_path / "whole")


def test_the_errors_are_told_apart() -> None:
    assert issubclass(DamagedBackupError, InputError)
    assert issubclass(NewerBackupError, InputError)
    assert not issubclass(NoRoomError, InputError)
