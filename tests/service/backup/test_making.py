"""What is in a backup, where it goes, and when there is none."""

import hashlib
import os
import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from service.backup.errors import BackupNotMadeError
from service.backup.last_backup import LastBackup, last_backup
from service.backup.making import KEPT_BACKUPS, make_backup
from service.errors import InputError
from service.intake.session_file import SESSION_FILE
from tests.service.backup.kept_shed import (
    NAME,
    NOW,
    SECRETS,
    archive_members,
    backup_of,
    filled_shed,
    manifest_of,
)


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")
    return backup_of(filled_shed(folder / "data"), folder / "kept.tar.gz").file


@pytest.mark.parametrize(
    "name",
    [
        "readings.db",
        "records.db",
        "clutchweather.toml",
        "broker/service-password",
        "broker/passwords",
        "broker/access",
        "told/notices.txt",
        "own.key",
    ],
)
def test_a_backup_holds_what_a_new_card_needs(archive: Path, name: str) -> None:
    assert f"data/{name}" in archive_members(archive)


@pytest.mark.parametrize("name", [SESSION_FILE, "clutchweather.lock", "broker/mosquitto.db"])
def test_a_backup_holds_nothing_by_which_a_second_copy_is_taken_for_the_first(
    archive: Path, name: str
) -> None:
    assert f"data/{name}" not in archive_members(archive)


def test_every_member_has_the_size_and_the_digest_that_the_list_tells(archive: Path) -> None:
    members = archive_members(archive)
    told = manifest_of(archive)["members"]
    assert isinstance(told, list)
    assert {one["name"] for one in told} == set(members) - {"manifest.json"}
    for one in told:
        text = members[one["name"]]
        assert (one["size"], one["sha256"]) == (len(text), hashlib.sha256(text).hexdigest())


def test_the_list_of_contents_holds_no_secret(archive: Path) -> None:
    members = archive_members(archive)
    assert SECRETS[0].encode() in members["data/broker/service-password"]
    for secret in SECRETS:
        assert secret.encode() not in members["manifest.json"]


def test_only_the_owner_may_read_a_backup(archive: Path) -> None:
    assert archive.stat().st_mode & 0o777 == 0o600


def test_counts_are_those_of_the_tables(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    made = backup_of(data, tmp_path / "kept.tar.gz")
    db = sqlite3.connect(data / "readings.db")
    assert made.counts["readings"] == db.execute("SELECT count(*) FROM readings").fetchone()[0]
    db.close()
    assert made.counts["readings"] == 60
    assert made.shed_name == NAME


def test_a_file_outside_the_data_folder_is_kept_with_where_it_lay(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    outside = tmp_path / "etc" / "secret"
    outside.parent.mkdir()
    outside.write_text("far away")
    text = (data / "clutchweather.toml").read_text()
    (data / "clutchweather.toml").write_text(text.replace("broker/service-password", str(outside)))
    archive = backup_of(data, tmp_path / "kept.tar.gz").file
    told = manifest_of(archive)["members"]
    assert isinstance(told, list)
    found = next(one for one in told if one["lay_at"] == str(outside))
    assert archive_members(archive)[found["name"]] == b"far away"


def test_a_file_that_is_named_and_missing_is_told(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    (data / "told" / "notices.txt").unlink()
    made = backup_of(data, tmp_path / "kept.tar.gz")
    assert any("notices.txt" in sentence for sentence in made.left_out)


def test_a_faulty_configuration_stands_in_the_way_of_no_backup(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    (data / "clutchweather.toml").write_text("[shed\nname = ")
    made = backup_of(data, tmp_path / "kept.tar.gz")
    assert made.counts["readings"] == 60
    assert archive_members(made.file)["data/clutchweather.toml"] == b"[shed\nname = "


def test_damaged_readings_make_no_backup_and_leave_the_earlier_ones(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    before = make_backup(data, now=NOW).file
    size = (data / "readings.db").stat().st_size
    with (data / "readings.db").open("r+b") as file:
        file.seek(4096)
        file.write(os.urandom(size - 4096))
    with pytest.raises(BackupNotMadeError, match=r"readings\.db"):
        make_backup(data, now=NOW + timedelta(days=1))
    assert list((data / "backups").iterdir()) == [before]
    assert last_backup(data) == LastBackup(at=NOW, file=before, elsewhere_at=None)


def test_without_a_destination_the_newest_fourteen_are_kept(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    foreign = data / "backups" / "mine.tar.gz"
    foreign.parent.mkdir()
    foreign.write_text("not ours")
    made = [make_backup(data, now=NOW + timedelta(days=day)).file for day in range(16)]
    kept = sorted(file for file in (data / "backups").iterdir() if file != foreign)
    assert kept == made[-KEPT_BACKUPS:]
    assert foreign.read_text() == "not ours"


def test_two_backups_of_one_second_are_two_files(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    first, second = (make_backup(data, now=NOW).file for _ in range(2))
    assert first != second
    assert first.exists()
    assert second.exists()


def test_a_backup_is_in_no_later_backup(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    make_backup(data, now=NOW)
    later = make_backup(data, now=NOW + timedelta(days=1)).file
    assert not [name for name in archive_members(later) if "tar.gz" in name or "last-" in name]


def test_a_backup_replaces_no_file(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    there = tmp_path / "kept.tar.gz"
    there.write_text("something else")
    with pytest.raises(InputError, match="is there already"):
        backup_of(data, there)
    assert there.read_text() == "something else"


def test_an_empty_data_folder_makes_no_backup(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    with pytest.raises(InputError, match="nothing here yet"):
        make_backup(tmp_path / "data", now=NOW)
    assert list((tmp_path / "data" / "backups").iterdir()) == []


def test_nothing_unfinished_is_left_beside_a_backup(tmp_path: Path) -> None:
    data = filled_shed(tmp_path / "data")
    made = make_backup(data, tmp_path / "stick", now=NOW)
    assert list((tmp_path / "stick").iterdir()) == [made.file]
