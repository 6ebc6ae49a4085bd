"""Another version, and the way back; the backups are real, systemd is played."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from service.backup.errors import BackupNotMadeError
from service.commands.install_units import run_install_units
from service.commands.removing import run_uninstall
from service.commands.updating import Change, DidNotComeUpError, run_go_back, run_update
from service.errors import InputError
from service.people.role import Role
from service.settings.load import load_settings
from service.wiring import open_stores
from tests.service.commands.played_machine import (
    PlayedMachine,
    path_of,
    played_machine,
    version_folder,
    words_in_use,
)

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
LATER = NOW + timedelta(hours=1)


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> PlayedMachine:
    """With a first version installed, and a shed's data."""
    made = played_machine(tmp_path / "machine")
    monkeypatch.setenv("PATH", path_of(made))
    run_install_units(
        made.place,
        user="clutchweather",
        tls=False,
        now=NOW,
        say=lambda _words: None,
        source=version_folder(tmp_path / "first", "first"),
    )
    open_stores(load_settings(None, made.place.data), made.place.data, writer=True).close()
    (made.folder / "log").unlink()
    return made


def change(machine: PlayedMachine, said: list[str] | None = None, at: datetime = LATER) -> Change:
    say = (lambda _words: None) if said is None else said.append
    return Change(place=machine.place, now=at, say=say, patience_s=0.2)


def layout(machine: PlayedMachine, number: str) -> None:
    """As a newer version would leave the records."""
    with closing(sqlite3.connect(machine.place.data / "records.db")) as records, records:
        records.execute("UPDATE alembic_version SET version_num = ?", (number,))


def test_the_new_version_is_in_use_and_the_old_one_is_kept(
    machine: PlayedMachine, tmp_path: Path
) -> None:
    said: list[str] = []
    run_update(version_folder(tmp_path / "second", "second"), change(machine, said))
    assert words_in_use(machine) == "second"
    assert (machine.place.versions.folder / "previous/words").read_text() == "first"
    backups = list((machine.place.data / "before-updates").iterdir())
    assert len(backups) == 1
    assert any(str(backups[0]) in words for words in said)
    units = "clutchweather-watch.service clutchweather-pages.service"
    assert [line for line in machine.told() if line.startswith("systemctl")] == [
        f"systemctl stop {units}",
        f"systemctl start --no-block {units}",
        f"systemctl is-active --quiet {units}",
    ]


def test_only_two_versions_and_the_newest_backup_are_kept(
    machine: PlayedMachine, tmp_path: Path
) -> None:
    for hour, words in enumerate(("second", "third", "fourth"), start=1):
        at = NOW + timedelta(hours=hour)
        run_update(version_folder(tmp_path / words, words), change(machine, at=at))
    versions = machine.place.versions.folder / "versions"
    assert sorted((one / "words").read_text() for one in versions.iterdir()) == ["fourth", "third"]
    assert len(list((machine.place.data / "before-updates").iterdir())) == 1


def test_without_a_backup_there_is_no_update(machine: PlayedMachine, tmp_path: Path) -> None:
    (machine.place.data / "records.db").write_bytes(b"not a database at all" * 400)
    with pytest.raises(BackupNotMadeError):
        run_update(version_folder(tmp_path / "second", "second"), change(machine))
    assert words_in_use(machine) == "first"
    assert len(list((machine.place.versions.folder / "versions").iterdir())) == 1
    assert not any("stop" in line for line in machine.told())


def test_a_version_that_does_not_come_up_is_taken_back_by_itself(
    machine: PlayedMachine, tmp_path: Path
) -> None:
    first = machine.place.versions.current()
    assert first is not None
    machine.runs_only(first.stamp)
    with pytest.raises(DidNotComeUpError, match="the one before runs again"):
        run_update(version_folder(tmp_path / "second", "second"), change(machine))
    assert words_in_use(machine) == "first"
    assert machine.place.systemd.is_active(["x"])


def test_when_neither_comes_up_that_is_told(machine: PlayedMachine, tmp_path: Path) -> None:
    machine.units_run(run=False)
    with pytest.raises(DidNotComeUpError, match="does NOT run either"):
        run_update(version_folder(tmp_path / "second", "second"), change(machine))


def test_going_back_with_the_same_layout_keeps_every_record(
    machine: PlayedMachine, tmp_path: Path
) -> None:
    run_update(version_folder(tmp_path / "second", "second"), change(machine))
    _add_person(machine, "after")
    said: list[str] = []
    run_go_back(change(machine, said, LATER + timedelta(hours=1)))
    assert words_in_use(machine) == "first"
    assert _people(machine) == ["after"]
    assert any("Nothing was lost" in words for words in said)


def test_going_back_from_a_newer_layout_restores_the_backup_and_says_what_is_lost(
    machine: PlayedMachine, tmp_path: Path
) -> None:
    _add_person(machine, "before")
    run_update(version_folder(tmp_path / "second", "second"), change(machine))
    _add_person(machine, "after")
    layout(machine, "0099")
    said: list[str] = []
    run_go_back(change(machine, said, LATER + timedelta(hours=1)))
    assert words_in_use(machine) == "first"
    assert _people(machine) == ["before"]
    told = " ".join(said)
    assert "2026-03-01 at 13:00 UTC" in told
    assert "not in force; it is kept in" in told


def test_there_is_one_step_back_and_no_other(machine: PlayedMachine, tmp_path: Path) -> None:
    run_update(version_folder(tmp_path / "second", "second"), change(machine))
    run_go_back(change(machine))
    with pytest.raises(InputError, match="no way back"):
        run_go_back(change(machine))
    assert words_in_use(machine) == "first"


def test_a_way_back_that_fails_leaves_the_version_that_is_there_running(
    machine: PlayedMachine, tmp_path: Path
) -> None:
    run_update(version_folder(tmp_path / "second", "second"), change(machine))
    layout(machine, "0099")
    for backup in (machine.place.data / "before-updates").iterdir():
        backup.write_bytes(b"damaged")
    with pytest.raises(InputError):
        run_go_back(change(machine))
    assert words_in_use(machine) == "second"
    assert machine.told()[-2].startswith("systemctl start")


@pytest.mark.parametrize("missing", ["pyproject.toml", "service/start", "service/venv.sh"])
def test_a_folder_that_is_no_version_is_refused(
    machine: PlayedMachine, tmp_path: Path, missing: str
) -> None:
    source = version_folder(tmp_path / "second", "second")
    (source / missing).unlink()
    with pytest.raises(InputError, match=missing):
        run_update(source, change(machine))
    assert machine.told() == []


def test_a_folder_that_is_not_there_is_refused(machine: PlayedMachine, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such folder"):
        run_update(tmp_path / "nowhere", change(machine))


def test_what_was_cut_off_in_the_middle_is_removed_at_the_next_update(
    machine: PlayedMachine, tmp_path: Path
) -> None:
    half = machine.place.versions.folder / "versions/20260101T000000Z"
    half.mkdir()
    (half / "words").write_text("half")
    run_update(version_folder(tmp_path / "second", "second"), change(machine))
    assert not half.exists()


def test_uninstall_takes_the_program_and_leaves_the_data(machine: PlayedMachine) -> None:
    said: list[str] = []
    kept = sorted(machine.place.data.rglob("*"))
    run_uninstall(machine.place, said.append)
    root = machine.place.root
    left = [file for file in (root / "etc").rglob("*") if file.is_file()]
    assert left == []
    assert not (root / "opt/clutchweather").exists()
    assert sorted(machine.place.data.rglob("*")) == kept
    assert any(str(machine.place.data) in words for words in said)
    assert "Nobody watches the shed from now on." in said


def test_uninstall_goes_on_where_systemd_does_not(machine: PlayedMachine) -> None:
    machine.fails("disable")
    said: list[str] = []
    run_uninstall(machine.place, said.append)
    assert any("no such bus" in words for words in said)
    assert not (machine.place.root / "opt/clutchweather").exists()


def test_uninstall_of_nothing_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    bare = played_machine(tmp_path / "bare")
    monkeypatch.setenv("PATH", path_of(bare))
    with pytest.raises(InputError, match="nothing of Clutchweather is installed"):
        run_uninstall(bare.place, print)


def _add_person(machine: PlayedMachine, name: str) -> None:
    data = machine.place.data
    stores = open_stores(load_settings(None, data), data, writer=False)
    try:
        stores.records.people.add(name, Role.HELPER, "a hash", NOW)
    finally:
        stores.close()


def _people(machine: PlayedMachine) -> list[str]:
    data = machine.place.data
    stores = open_stores(load_settings(None, data), data, writer=False)
    try:
        return [person.name for person in stores.records.people.people()]
    finally:
        stores.close()
