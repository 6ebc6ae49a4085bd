"""What install-units puts where, and that a real mosquitto takes it beside Debian's file."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from service.commands import install_units
from service.commands.install_units import Place, run_install_units
from service.errors import InputError
from service.intake.broker_standing import read_standing
from service.intake.mqtt_finding import Answer, Login, look_for_broker
from service.intake.mqtt_private_broker import free_port
from service.machine.broker_accounts import BrokerAccounts
from service.machine.mosquitto_conf import system_configuration
from tests.listening import wait_until
from tests.needs import need
from tests.service.commands.played_machine import (
    PlayedMachine,
    path_of,
    played_machine,
    version_folder,
    words_in_use,
)

NOW = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)

# /etc/mosquitto/mosquitto.conf of Debian 12 (package mosquitto 2.0.11), without its comments.
DEBIAN = """\
pid_file /run/mosquitto/mosquitto.pid

persistence true
persistence_location /var/lib/mosquitto/

log_dest file /var/log/mosquitto/mosquitto.log

include_dir /etc/mosquitto/conf.d
"""


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> PlayedMachine:
    made = played_machine(tmp_path / "machine")
    monkeypatch.setenv("PATH", path_of(made))
    return made


def install(
    machine: PlayedMachine, folder: Path, words: str = "first", **more: object
) -> list[str]:
    said: list[str] = []
    run_install_units(
        machine.place,
        user=str(more.get("user", "clutchweather")),
        tls=bool(more.get("tls", False)),
        now=NOW,
        say=said.append,
        source=version_folder(folder, words),
    )
    return said


def test_program_units_and_broker_are_in_place(machine: PlayedMachine, tmp_path: Path) -> None:
    install(machine, tmp_path / "source")
    root = machine.place.root
    assert words_in_use(machine) == "first"
    assert (root / "opt/clutchweather/current/venv-made").exists()
    assert not (root / "opt/clutchweather/current/.git").exists()
    for name in ("clutchweather-watch.service", "clutchweather-backup.timer"):
        assert (root / "etc/systemd/system" / name).is_file()
    assert "SystemMaxUse" in (root / "etc/systemd/journald.conf.d/clutchweather.conf").read_text()
    standing = read_standing(machine.place.data)
    assert standing is not None
    assert (standing.ours, standing.port) == (True, 1884)


def test_systemd_is_told_in_an_order_that_works(machine: PlayedMachine, tmp_path: Path) -> None:
    install(machine, tmp_path / "source")
    data = machine.place.data
    assert machine.told() == [
        "systemd-sysusers ",
        f"chown -R clutchweather:clutchweather {data}",
        f"chown -R clutchweather:mosquitto {data}/broker",
        "systemctl daemon-reload",
        "systemctl restart systemd-journald.service",
        "systemctl enable mosquitto.service",
        "systemctl restart mosquitto.service",
        "systemctl enable --now clutchweather-watch.service clutchweather-pages.service "
        "clutchweather-backup.timer clutchweather-broker.path",
        "systemctl is-active --quiet clutchweather-watch.service",
    ]


def test_a_second_time_loses_no_account(machine: PlayedMachine, tmp_path: Path) -> None:
    install(machine, tmp_path / "source")
    accounts = BrokerAccounts(machine.place.data / "broker")
    accounts.add("th-shed")
    before = accounts.passwords_file.read_bytes()
    install(machine, tmp_path / "source")
    assert accounts.passwords_file.read_bytes() == before
    assert len(list((machine.place.versions.folder / "versions").iterdir())) == 1


def test_what_another_file_states_for_mosquitto_is_told_and_nothing_changed(
    machine: PlayedMachine, tmp_path: Path
) -> None:
    other = machine.place.root / "etc/mosquitto/conf.d/house.conf"
    other.write_text("# mine\nlistener 1883\nallow_anonymous true\n")
    with pytest.raises(InputError, match=r"house\.conf, line 2: listener 1883"):
        install(machine, tmp_path / "source")
    assert machine.told() == []
    assert machine.place.versions.current() is None


def test_without_mosquitto_the_keeper_is_told_what_is_lacking(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    machine = played_machine(tmp_path / "machine", mosquitto=False)
    monkeypatch.setenv("PATH", path_of(machine))
    said = install(machine, tmp_path / "source")
    assert any("apt install mosquitto" in words for words in said)


@pytest.mark.parametrize("user", ["root", "", "a b", "-x", "x;y", "Keeper", "x" * 40])
def test_a_user_that_can_not_be_is_refused(
    machine: PlayedMachine, tmp_path: Path, user: str
) -> None:
    with pytest.raises(InputError, match="--user"):
        install(machine, tmp_path / "source", user=user)
    assert machine.told() == []


def test_an_ordinary_user_is_told_what_to_type(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(InputError, match=r"sudo \./service/start install-units"):
        run_install_units(Place(), user="clutchweather", tls=False, now=NOW, say=print)


def test_a_folder_to_look_at_starts_nothing(machine: PlayedMachine, tmp_path: Path) -> None:
    place = Place(root=machine.place.root, orders=False, make_venv=lambda _place: None)
    run_install_units(
        place,
        user="clutchweather",
        tls=False,
        now=NOW,
        say=lambda _words: None,
        source=version_folder(tmp_path / "source", "first"),
    )
    assert machine.told() == []
    assert (place.root / "etc/systemd/system/clutchweather-watch.service").exists()


def test_a_version_that_can_not_be_made_leaves_nothing_behind(
    machine: PlayedMachine, tmp_path: Path
) -> None:
    def no_network(_place: Path) -> None:
        raise OSError("no network")

    place = Place(root=machine.place.root, make_venv=no_network)
    with pytest.raises(OSError, match="no network"):
        run_install_units(
            place,
            user="clutchweather",
            tls=False,
            now=NOW,
            say=lambda _words: None,
            source=version_folder(tmp_path / "source", "first"),
        )
    assert place.versions.current() is None
    assert list((place.versions.folder / "versions").iterdir()) == []


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that other users can reach, as /var/lib is."""
    folder = Path(tempfile.mkdtemp(prefix="clutchweather-mosquitto-"))
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)


@pytest.mark.broker
@pytest.mark.skipif(os.geteuid() != 0, reason="only root can start mosquitto as Debian does")
def test_mosquitto_starts_with_debians_file_and_ours_as_its_own_user(
    open_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Started by root it becomes the user mosquitto, who must be able to read our files."""
    program = need("mosquitto", "broker")
    plain, loopback = free_port(), free_port()
    monkeypatch.setattr("service.machine.mosquitto_conf.LOOPBACK_PORT", loopback)
    data = open_folder / "data"
    data.mkdir()
    data.chmod(0o711)
    accounts = BrokerAccounts(data / "broker")
    accounts.make_ready()
    place = Place(root=open_folder)
    install_units.hand_to_the_broker(place, accounts.folder, "nobody")
    password = accounts.add("th-shed")
    for name in ("run", "lib", "conf.d"):
        (open_folder / name).mkdir()
        shutil.chown(open_folder / name, "mosquitto", "mosquitto")
    text = system_configuration(accounts.passwords_file, accounts.access_file, port=plain)
    assert f"listener {plain}\n" in text
    # While testing on one of this machine's own addresses alone.
    text = text.replace(f"listener {plain}\n", f"listener {plain} 127.0.0.2\n")
    (open_folder / "conf.d/clutchweather.conf").write_text(text)
    debian = (
        DEBIAN.replace("/run/mosquitto/", f"{open_folder}/run/")
        .replace("/var/lib/mosquitto/", f"{open_folder}/lib/")
        .replace("/var/log/mosquitto/", f"{open_folder}/run/")
        .replace("/etc/mosquitto/conf.d", f"{open_folder}/conf.d")
    )
    (open_folder / "mosquitto.conf").write_text(debian)
    with subprocess.Popen([program, "-c", open_folder / "mosquitto.conf"]) as process:
        try:
            wait_until(
                lambda: (
                    process.poll() is None
                    and look_for_broker("127.0.0.1", loopback).answer is Answer.LETS_US_IN
                )
            )
            status = Path(f"/proc/{process.pid}/status").read_text()
            assert status.split("Uid:")[1].split()[0] != "0", "it is still root"
            stranger = look_for_broker("127.0.0.2", plain).answer
            known = look_for_broker("127.0.0.2", plain, Login(name="th-shed", password=password))
            assert stranger is Answer.WANTS_A_PASSWORD
            assert known.answer is Answer.LETS_US_IN
        finally:
            process.terminate()
    assert (open_folder / "lib/mosquitto.db").exists(), "it keeps what it holds"
