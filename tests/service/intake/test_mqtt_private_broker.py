"""Our own broker: mosquitto where there is one, else the one inside the iotcore package."""

import importlib.util
import os
import socket
import subprocess
import sys
import tempfile
import time
from importlib.resources import files
from pathlib import Path

import pytest

from service.errors import InputError
from service.intake.mosquitto_process import BrokerDidNotStartError, find_mosquitto
from service.intake.mqtt_private_broker import PrivateBroker, free_port
from tests.listening import listen_until, payloads, publish, wait_until
from tests.needs import lacking, need
from tests.service.intake.conftest import Listening

pytestmark = pytest.mark.broker

KINDS = [pytest.param(None, id="mosquitto"), pytest.param("", id="iotcore")]


def _broker(folder: Path, program: str | None, port: int = 0) -> PrivateBroker:
    if program is None:
        need("mosquitto", "broker")
    elif importlib.util.find_spec("iotcore") is None:
        lacking("iotcore", "broker")
    return PrivateBroker(folder, port=port, program=program)


@pytest.mark.parametrize("program", KINDS)
def test_messages_pass_and_what_is_unacknowledged_comes_again(
    tmp_path: Path, program: str | None, listening: Listening
) -> None:
    with _broker(tmp_path / "a folder", program) as broker:
        first = listening(broker.address)
        wait_until(lambda: first.liveness().ok)
        version = "MQTT 5" if program is None else "MQTT 3.1.1"
        assert version in first.liveness().text
        publish(broker.address, [str(n) for n in range(40)])
        deliveries = listen_until(first, 40)
        assert payloads(deliveries) == [str(n) for n in range(40)]
        first.acknowledge(deliveries[:30])
        time.sleep(0.3)
        assert first.liveness().ok
        first.stop()
        second = listening(broker.address)
        assert set(payloads(listen_until(second, 10))) == {str(n) for n in range(30, 40)}


@pytest.mark.parametrize("program", KINDS)
def test_a_canary_that_comes_back_wanting_an_answer_does_not_end_the_connection(
    tmp_path: Path, program: str | None, listening: Listening
) -> None:
    with _broker(tmp_path, program) as broker:
        listener = listening(broker.address, filters=("#",))
        wait_until(lambda: listener.liveness().canary_age is not None)
        for number in range(4):
            publish(broker.address, [str(number)])
            (delivery,) = listen_until(listener, 1)
            listener.acknowledge([delivery])
            time.sleep(0.3)
        assert delivery.generation <= 2, "connected more than once"
        assert listener.liveness().ok


@pytest.mark.parametrize("program", KINDS)
def test_it_listens_on_the_loopback_address_only(tmp_path: Path, program: str | None) -> None:
    """By the kernel's own table (proc(5), /proc/net/tcp): local address and port, in hex."""
    with _broker(tmp_path, program) as broker:
        listening_at = [
            line.split()[1]
            for table in ("/proc/net/tcp", "/proc/net/tcp6")
            for line in Path(table).read_text().splitlines()[1:]
            if line.split()[3] == "0A" and line.split()[1].endswith(f":{broker.port:04X}")
        ]
        assert listening_at == [f"0100007F:{broker.port:04X}"]


@pytest.mark.parametrize("program", KINDS)
def test_a_taken_port_is_refused_in_words(tmp_path: Path, program: str | None) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        with pytest.raises(InputError, match=f"port {port} on 127.0.0.1 is taken"):
            _broker(tmp_path, program, port).start()


@pytest.mark.parametrize("program", KINDS)
def test_the_port_is_free_again_afterwards(tmp_path: Path, program: str | None) -> None:
    port = free_port()
    for _ in range(2):
        with _broker(tmp_path, program, port) as broker:
            assert broker.address.port == port


def test_messages_outlive_a_restart_of_mosquitto(tmp_path: Path, listening: Listening) -> None:
    with _broker(tmp_path, None) as broker:
        listener = listening(broker.address)
        wait_until(lambda: listener.liveness().ok)
        listener.stop()
        publish(broker.address, ["kept"])
    with _broker(tmp_path, None) as broker:
        assert payloads(listen_until(listening(broker.address), 1)) == ["kept"]


def test_an_unreadable_database_is_put_aside_and_mosquitto_starts_empty(tmp_path: Path) -> None:
    need("mosquitto", "broker")
    (tmp_path / "mosquitto.db").write_bytes(bytes(4096))
    with PrivateBroker(tmp_path):
        assert (tmp_path / "mosquitto.db.unreadable").read_bytes() == bytes(4096)


def test_a_program_that_does_not_start_is_told_in_its_own_words(tmp_path: Path) -> None:
    program = tmp_path / "mosquitto"
    program.write_text("#!/bin/sh\necho 'no room on the card' >&2\nexit 3\n")
    program.chmod(0o755)
    with pytest.raises(BrokerDidNotStartError, match="no room on the card"):
        PrivateBroker(tmp_path / "data", program=str(program)).start()


def test_mosquitto_is_found_where_an_ordinary_path_does_not_lead(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    need("mosquitto", "broker")
    monkeypatch.setenv("PATH", "/usr/bin:/bin")
    assert find_mosquitto() is not None


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can become somebody else")
def test_an_ordinary_user_can_run_it() -> None:
    """All modules are imported before: the interpreter may lie where that user can't read."""
    program = str(need("mosquitto", "broker"))
    with tempfile.TemporaryDirectory(prefix="ordinary-") as folder:
        Path(folder).chmod(0o777)
        script = (
            "import encodings.idna, os, sys; from pathlib import Path\n"
            "from service.intake.mqtt_private_broker import PrivateBroker\n"
            "os.setgroups([]); os.setgid(65534); os.setuid(65534)\n"
            "with PrivateBroker(Path(sys.argv[1]) / 'broker', program=sys.argv[2]) as broker:\n"
            "    print(broker.kind, broker.port > 0)\n"
        )
        told = subprocess.run(
            [sys.executable, "-c", script, folder, program],
            capture_output=True,
            text=True,
            check=True,
            timeout=30,
        )
    assert told.stdout == "mosquitto True\n"


def test_mosquitto_ends_when_its_parent_is_killed(tmp_path: Path) -> None:
    program = str(need("mosquitto", "broker"))
    script = (
        "import sys, time; from pathlib import Path\n"
        "from service.intake.mqtt_private_broker import PrivateBroker\n"
        "broker = PrivateBroker(Path(sys.argv[1]), program=sys.argv[2]); broker.start()\n"
        "print(broker.port, flush=True); time.sleep(60)\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", script, str(tmp_path), program], stdout=subprocess.PIPE, text=True
    ) as parent:
        assert parent.stdout is not None
        port = int(parent.stdout.readline())
        parent.kill()

    def is_gone() -> bool:
        with socket.socket() as probe:
            return probe.connect_ex(("127.0.0.1", port)) != 0

    wait_until(is_gone)


def test_the_settings_for_a_keepers_own_broker_are_accepted_by_mosquitto(tmp_path: Path) -> None:
    """As shipped, but for the port and the password file, which belong to that machine."""
    program = str(need("mosquitto", "broker"))
    shipped = files("service.intake").joinpath("keeper_broker.conf").read_text()
    port = free_port()
    passwords = tmp_path / "passwords"
    passwords.write_text("")
    passwords.chmod(0o600)
    ours = shipped.replace("listener 1883", f"listener {port} 127.0.0.1").replace(
        "/etc/mosquitto/passwords\n\n", f"{passwords}\n\n"
    )
    assert "allow_anonymous false" in ours
    user = "user root\n" if os.geteuid() == 0 else ""
    (tmp_path / "keeper.conf").write_text(ours + user)
    with subprocess.Popen(
        [program, "-c", str(tmp_path / "keeper.conf")], stderr=subprocess.DEVNULL
    ) as process:
        try:

            def listens() -> bool:
                assert process.poll() is None, "mosquitto refused the settings"
                with socket.socket() as probe:
                    return probe.connect_ex(("127.0.0.1", port)) == 0

            wait_until(listens)
        finally:
            process.terminate()
