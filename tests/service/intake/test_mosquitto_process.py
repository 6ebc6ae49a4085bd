"""mosquitto as a child: when what it keeps is put aside, and when it is not."""

import os
from pathlib import Path

import pytest

from service.intake.mosquitto_process import (
    CONFIGURATION,
    DATABASE,
    UNREADABLE,
    BrokerDidNotStartError,
    run_mosquitto,
)
from service.intake.mqtt_private_broker import free_port
from tests.needs import need

pytestmark = pytest.mark.broker


def configured(folder: Path, port: int) -> Path:
    user = "user root\n" if os.geteuid() == 0 else ""
    (folder / CONFIGURATION).write_text(
        f"listener {port} 127.0.0.1\nallow_anonymous true\n{user}log_dest stderr\n"
        f"persistence true\npersistence_location {folder}/\n"
    )
    return folder


def test_an_address_that_is_gone_is_no_reason_to_part_with_what_is_kept(tmp_path: Path) -> None:
    """192.0.2.1 is nobody's (RFC 5737)."""
    program = str(need("mosquitto", "broker"))
    file = configured(tmp_path, free_port()) / CONFIGURATION
    file.write_text(file.read_text() + f"listener {free_port()} 192.0.2.1\n")
    (tmp_path / DATABASE).touch()  # read as a database that holds nothing
    with pytest.raises(BrokerDidNotStartError, match="assign requested address"):
        run_mosquitto(program, tmp_path, free_port())
    assert (tmp_path / DATABASE).exists()
    assert not (tmp_path / UNREADABLE).exists()


@pytest.mark.parametrize(
    "damage", [bytes(4096), os.urandom(1000), b"\0" * 15 + b"mosquitto db"], ids=["0", "?", "cut"]
)
def test_an_unreadable_database_is_put_aside_and_not_thrown_away(
    tmp_path: Path, damage: bytes
) -> None:
    program = str(need("mosquitto", "broker"))
    port = free_port()
    (configured(tmp_path, port) / DATABASE).write_bytes(damage)
    process = run_mosquitto(program, tmp_path, port)
    process.stop()
    assert (tmp_path / UNREADABLE).read_bytes() == damage
