"""Certificates of the shed's own, looked at by openssl and shown by a real mosquitto."""

import os
import socket
import ssl
import subprocess
from pathlib import Path

import pytest

from service.intake.mosquitto_process import CONFIGURATION, run_mosquitto
from service.intake.mqtt_private_broker import free_port
from service.machine.broker_accounts import BrokerAccounts
from service.machine.mosquitto_conf import Certificate, system_configuration
from service.machine.openssl_certificates import make_certificates
from tests.needs import need

NAMES = ["shed-pi", "shed-pi.local", "192.0.2.7", "127.0.0.1"]


@pytest.fixture
def made(tmp_path: Path) -> Path:
    need("openssl", "tls")
    make_certificates(tmp_path / "broker", NAMES)
    return tmp_path / "broker"


def told(*arguments: object) -> str:
    done = subprocess.run(
        [need("openssl", "tls"), *map(str, arguments)], capture_output=True, text=True, check=True
    )
    return done.stdout


def test_openssl_finds_the_chain_sound_for_every_name(made: Path) -> None:
    for kind, name in [("hostname", "shed-pi.local"), ("ip", "192.0.2.7"), ("ip", "127.0.0.1")]:
        answer = told(
            *("verify", "-x509_strict", "-purpose", "sslserver", f"-verify_{kind}", name),
            *("-CAfile", made / "ca.crt", made / "server.crt"),
        )
        assert answer.endswith("OK\n")


def test_another_name_is_not_covered(made: Path) -> None:
    with pytest.raises(subprocess.CalledProcessError):
        told("verify", "-verify_hostname", "other", "-CAfile", made / "ca.crt", made / "server.crt")


@pytest.mark.parametrize("name", ["ca.crt", "server.crt"])
def test_it_holds_for_ten_years_less_a_few_days(made: Path, name: str) -> None:
    nine_years_s = 9 * 365 * 24 * 3600
    assert "will not expire" in told(
        "x509", "-in", made / name, "-noout", "-checkend", nine_years_s
    )


def test_keys_are_closed_and_the_brokers_is_for_its_group(made: Path) -> None:
    assert (made / "ca.key").stat().st_mode & 0o777 == 0o600
    assert (made / "server.key").stat().st_mode & 0o777 == 0o640


def test_the_authority_that_devices_know_stays(made: Path) -> None:
    before = (made / "ca.crt").read_bytes(), (made / "server.crt").read_bytes()
    make_certificates(made, NAMES)
    assert (made / "ca.crt").read_bytes() == before[0]
    assert (made / "server.crt").read_bytes() != before[1]
    assert sorted(file.suffix for file in made.iterdir()) == [
        *(".crt", ".crt", ".key", ".key", ".srl")
    ]


@pytest.mark.broker
def test_a_device_that_knows_the_authority_reaches_mosquitto_encrypted(
    made: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By Python's own TLS, which checks chain and name."""
    accounts = BrokerAccounts(made)
    accounts.make_ready()
    loopback, plain, encrypted = free_port(), free_port(), free_port()
    monkeypatch.setattr("service.machine.mosquitto_conf.LOOPBACK_PORT", loopback)
    text = system_configuration(
        accounts.passwords_file,
        accounts.access_file,
        port=plain,
        tls=Certificate(
            certificate_file=made / "server.crt", key_file=made / "server.key", port=encrypted
        ),
    )
    # On this machine's own address only, while testing.
    text = text.replace(f"listener {plain}\n", f"listener {plain} 127.0.0.1\n")
    text = text.replace(f"listener {encrypted}\n", f"listener {encrypted} 127.0.0.1\n")
    user = "user root\n" if os.geteuid() == 0 else ""
    (made / CONFIGURATION).write_text(f"{text}{user}log_dest stderr\n")
    broker = run_mosquitto(str(need("mosquitto", "broker")), made, loopback)
    try:
        context = ssl.create_default_context(cafile=str(made / "ca.crt"))
        with (
            socket.create_connection(("127.0.0.1", encrypted), timeout=5) as plain_socket,
            context.wrap_socket(plain_socket, server_hostname="127.0.0.1") as safe,
        ):
            assert safe.version() in {"TLSv1.2", "TLSv1.3"}
    finally:
        broker.stop()
