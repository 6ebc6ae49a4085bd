"""What a restore puts in place, what it keeps, and what it refuses."""

import grp
import os
import socket
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from service.backup.restoring import restore
from service.errors import AlreadyRunningError, InputError
from service.intake.client_identity import fixed_client_id
from service.intake.data_lock import DataLock
from service.intake.session_file import SESSION_FILE
from tests.service.backup.kept_shed import (
    NAME,
    NOW,
    archive_members,
    backup_of,
    contents,
    filled_shed,
)


@pytest.fixture
def archive(tmp_path: Path) -> Path:
    return backup_of(filled_shed(tmp_path / "first"), tmp_path / "kept.tar.gz").file


def told(archive: Path) -> dict[str, bytes]:
    """The members of the data folder, without the databases: those are compared by rows."""
    return {
        name.removeprefix("data/"): text
        for name, text in archive_members(archive).items()
        if name.startswith("data/") and not name.endswith(".db")
    }


def rows(file: Path) -> dict[str, list[tuple[object, ...]]]:
    db = sqlite3.connect(file)
    names = [row[0] for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    found = {name: sorted(db.execute(f"SELECT * FROM {name}"), key=repr) for name in names}
    db.close()
    return found


def test_a_restore_into_nothing_gives_the_same_files_and_rows(
    archive: Path, tmp_path: Path
) -> None:
    restore(archive, tmp_path / "second", now=NOW)
    now = contents(tmp_path / "second")
    assert {name: text for name, text in now.items() if not name.endswith(".db")} == told(archive)
    for name in ("readings.db", "records.db"):
        assert rows(tmp_path / "second" / name) == rows(tmp_path / "first" / name)


def test_a_restore_counts_what_there_is(archive: Path, tmp_path: Path) -> None:
    done = restore(archive, tmp_path / "second", now=NOW)
    assert done.counts["readings"] == 60
    assert done.newest_reading_at is not None
    assert done.newest_reading_at.isoformat() == "2026-03-01T21:59:00+00:00"
    assert (done.shed_name, done.aside) == (NAME, None)


def test_permissions_come_back(archive: Path, tmp_path: Path) -> None:
    restore(archive, tmp_path / "second", now=NOW)
    assert (tmp_path / "second/own.key").stat().st_mode & 0o777 == 0o600
    assert (tmp_path / "second").stat().st_mode & 0o777 == 0o700


@pytest.mark.skipif(os.geteuid() != 0, reason="only root gives files away")
def test_what_root_restores_belongs_to_the_owner_of_the_folder(
    archive: Path, tmp_path: Path
) -> None:
    data = tmp_path / "second"
    data.mkdir()
    os.chown(data, 1234, 1234)
    restore(archive, data, now=NOW)
    made = [path for path in data.rglob("*") if path.name != "clutchweather.lock"]
    assert {path.stat().st_uid for path in made} == {1234}


def test_what_was_there_is_kept_aside_whole(archive: Path, tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "second", celsius=21.0)
    (data / "mine.txt").write_text("a note of the keeper")
    before = contents(data)
    done = restore(archive, data, now=NOW)
    assert done.aside is not None
    of_this_machine = {SESSION_FILE, "broker/mosquitto.db"}
    kept = {name: text for name, text in before.items() if name not in of_this_machine}
    assert contents(done.aside) == kept


def test_what_belongs_to_the_machine_stays(archive: Path, tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "second")
    (data / "broker/mosquitto.db").write_text("messages for this machine")
    restore(archive, data, now=NOW)
    assert (data / "broker/mosquitto.db").read_text() == "messages for this machine"
    assert (data / SESSION_FILE).exists()


def test_a_log_of_the_old_readings_is_not_left_beside_the_new(
    archive: Path, tmp_path: Path
) -> None:
    data = filled_shed(tmp_path / "second")
    for name in ("readings.db-wal", "readings.db-shm", "records.db-journal"):
        (data / name).write_text("of the old")
    done = restore(archive, data, now=NOW)
    assert done.aside is not None
    assert (done.aside / "records.db-journal").read_text() == "of the old"
    assert not [name for name in contents(data) if name.count("/") == 0 and "db-" in name]


def test_a_second_copy_is_a_stranger_to_the_broker(archive: Path, tmp_path: Path) -> None:
    restore(archive, tmp_path / "second", now=NOW)
    assert fixed_client_id(tmp_path / "second") != fixed_client_id(tmp_path / "first")
    assert not (tmp_path / "second" / SESSION_FILE).exists()


def test_nobody_is_logged_in_after_a_restore(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "first")
    db = sqlite3.connect(data / "records.db")
    db.execute("INSERT INTO sessions VALUES ('d', 1, 0, 0, 99999999999999)")
    db.commit()
    db.close()
    made = backup_of(data, tmp_path / "kept.tar.gz")
    assert made.counts["sessions"] == 1
    done = restore(made.file, tmp_path / "second", now=NOW)
    assert (done.counts["sessions"], done.counts["people"], done.counts["wall_tokens"]) == (0, 1, 1)


def test_what_lay_elsewhere_is_put_into_a_folder_and_told(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "first")
    outside = tmp_path / "etc" / "secret"
    outside.parent.mkdir()
    outside.write_text("far away")
    text = (data / "clutchweather.toml").read_text()
    (data / "clutchweather.toml").write_text(text.replace("broker/service-password", str(outside)))
    archive = backup_of(data, tmp_path / "kept.tar.gz").file
    outside.unlink()
    ((file, lay_at),) = restore(archive, tmp_path / "second", now=NOW).from_elsewhere
    assert (file.read_text(), lay_at) == ("far away", str(outside))
    assert not outside.exists()


def test_a_restore_waits_for_no_watch(archive: Path, tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "second", celsius=21.0)
    before = contents(data)
    with DataLock(data), pytest.raises(AlreadyRunningError, match="another copy"):
        restore(archive, data, now=NOW)
    assert contents(data) == before


def test_a_restore_is_refused_while_pages_have_the_records_open(
    archive: Path, tmp_path: Path
) -> None:
    data = filled_shed(tmp_path / "second")
    before = contents(data)
    holder = subprocess.Popen(
        [sys.executable, "-c", "import sys; f = open(sys.argv[1]); print(flush=True); input()",
         str(data / "records.db")],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )  # fmt: skip
    try:
        assert holder.stdout is not None
        holder.stdout.readline()
        with pytest.raises(AlreadyRunningError, match=f"process {holder.pid}"):
            restore(archive, data, now=NOW)
    finally:
        holder.communicate()
    assert contents(data) == before


def test_a_folder_that_is_a_link_is_told_and_nothing_changed(archive: Path, tmp_path: Path) -> None:
    data = tmp_path / "second"
    data.mkdir()
    (tmp_path / "else").mkdir()
    (data / "broker").symlink_to(tmp_path / "else")
    with pytest.raises(Exception, match="is a link or another disk"):
        restore(archive, data, now=NOW)
    assert list((tmp_path / "else").iterdir()) == []
    assert contents(data) == {}


@pytest.mark.parametrize("kind", ["missing", "folder", "socket"])
def test_a_source_that_is_no_file_is_refused(tmp_path: Path, kind: str) -> None:
    source = tmp_path / "source"
    if kind == "folder":
        source.mkdir()
    with socket.socket(socket.AF_UNIX) as made:
        if kind == "socket":
            made.bind(str(source))
        with pytest.raises(InputError, match="no such file"):
            restore(source, tmp_path / "second", now=NOW)
    assert not (tmp_path / "second").exists()


@pytest.mark.skipif(os.geteuid() != 0, reason="only root gives files to other groups")
def test_a_broker_that_runs_as_another_user_can_read_its_files_again(tmp_path: Path) -> None:
    """It reads by the group, and new files get the group of their folder."""
    mail = grp.getgrnam("mail").gr_gid  # a group that every Debian has (base-passwd)
    data = filled_shed(tmp_path / "first")
    for path, mode in ((data / "broker", 0o2750), (data / "broker/passwords", 0o640)):
        os.chown(path, -1, mail)
        path.chmod(mode)
    archive = backup_of(data, tmp_path / "kept.tar.gz").file
    restore(archive, tmp_path / "second", now=NOW)
    for name, mode in (("broker", 0o2750), ("broker/passwords", 0o640)):
        found = (tmp_path / "second" / name).stat()
        assert (found.st_mode & 0o7777, found.st_gid) == (mode, mail)
