"""Permissions, buses, units and the version of SQLite."""

import os
from pathlib import Path

import pytest

from service.machine.bus_look import look_at_buses
from service.machine.finding import State
from service.machine.permission_look import look_at_folder, look_at_secrets
from service.machine.sqlite_look import has_wal_reset_fault, look_at_sqlite
from service.machine.systemd_look import look_at_units
from tests.service.machine.machines import RASPBERRY, machine


# sqlite.org/wal.html, "The WAL-reset bug": 3.7.0 to 3.51.2; mended in 3.51.3, 3.50.7, 3.44.6.
@pytest.mark.parametrize(
    ("version", "expected"),
    [
        ("3.6.23", False),
        ("3.7.0", True),
        ("3.40.1", True),
        ("3.44.5", True),
        ("3.44.6", False),
        ("3.45.0", True),
        ("3.50.6", True),
        ("3.50.7", False),
        ("3.51.2", True),
        ("3.51.3", False),
        ("3.53.0", False),
    ],
)
def test_versions_with_the_fault_are_known(version: str, expected: bool) -> None:
    assert has_wal_reset_fault(version) is expected
    found = look_at_sqlite(version)
    assert (found.state, bool(found.to_do)) == (State.WELL, expected)


def folder(tmp_path: Path, mode: int, database_mode: int) -> tuple[Path, list[Path]]:
    data = tmp_path / "data"
    data.mkdir()
    database = data / "records.db"
    database.touch()
    database.chmod(database_mode)
    data.chmod(mode)
    return data, [database]


@pytest.mark.parametrize(
    ("mode", "database_mode", "expected"),
    [
        (0o700, 0o644, State.WELL),
        (0o750, 0o644, State.WELL),
        (0o755, 0o640, State.WELL),
        (0o755, 0o644, State.LOOK),
        (0o777, 0o600, State.LOOK),
    ],
)
def test_a_folder_is_well_where_others_are_kept_out(
    tmp_path: Path, mode: int, database_mode: int, expected: State
) -> None:
    assert look_at_folder(*folder(tmp_path, mode, database_mode)).state is expected


@pytest.mark.skipif(os.geteuid() != 0, reason="only root gives files away")
@pytest.mark.parametrize("name", ["records.db", "records.db-journal"])
def test_a_file_of_another_user_is_told(tmp_path: Path, name: str) -> None:
    data, databases = folder(tmp_path, 0o700, 0o600)
    (data / name).touch()
    os.chown(data / name, 1234, 1234)
    found = look_at_folder(data, databases)
    assert found.state is State.LOOK
    assert name in found.sentence


def test_a_folder_that_is_not_there_is_not_well(tmp_path: Path) -> None:
    assert look_at_folder(tmp_path / "none", []).state is State.CANNOT_TELL


@pytest.mark.parametrize(
    ("mode", "expected"),
    [(0o600, State.WELL), (0o400, State.WELL), (0o640, State.LOOK), (0o604, State.LOOK)],
)
def test_secrets_are_for_their_owner_alone(tmp_path: Path, mode: int, expected: State) -> None:
    secret = tmp_path / "password"
    secret.write_text("marker")
    secret.chmod(mode)
    found = look_at_secrets([secret, tmp_path / "not there"])
    assert found.state is expected
    assert "marker" not in found.sentence + found.to_do


@pytest.mark.parametrize(("count", "words"), [(1, "read the file with"), (2, "the 2 files with")])
def test_secrets_are_counted_in_words_as_people_say_them(
    tmp_path: Path, count: int, words: str
) -> None:
    for number in range(count):
        (tmp_path / str(number)).touch(0o600)
    assert words in look_at_secrets(sorted(tmp_path.iterdir())).sentence


def test_nothing_starts_the_service_where_there_are_no_units(tmp_path: Path) -> None:
    here = machine(tmp_path, {"run/systemd/system/x": ""})
    found = look_at_units(here)
    assert found is not None
    assert found.state is State.LOOK


def test_units_must_be_enabled_too(tmp_path: Path) -> None:
    unit = "etc/systemd/system/clutchweather-watch.service"
    here = machine(tmp_path, {"run/systemd/system/x": "", unit: "[Unit]"})
    found = look_at_units(here)
    assert found is not None
    assert found.state is State.LOOK
    wants = tmp_path / "etc/systemd/system/multi-user.target.wants"
    wants.mkdir()
    (wants / "clutchweather-watch.service").symlink_to(tmp_path / unit)
    found = look_at_units(here)
    assert found is not None
    assert found.state is State.WELL


def test_units_do_not_apply_without_systemd(tmp_path: Path) -> None:
    assert look_at_units(machine(tmp_path)) is None


def test_buses_apply_to_machines_with_pins_only(tmp_path: Path) -> None:
    assert look_at_buses(machine(tmp_path, {"dev/i2c-1": ""})) is None
    found = look_at_buses(machine(tmp_path / "pi", RASPBERRY))
    assert found is not None
    assert "No bus" in found.sentence


def test_a_bus_that_is_there_is_named(tmp_path: Path) -> None:
    files = {**RASPBERRY, "dev/i2c-1": "", "sys/bus/w1/devices/w1_bus_master1/name": ""}
    found = look_at_buses(machine(tmp_path, files))
    assert found is not None
    assert "i2c-1, 1-wire" in found.sentence
