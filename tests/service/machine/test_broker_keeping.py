"""Which broker is used, and in which words that is told; against real programs."""

import os
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.intake.broker_standing import BrokerStanding, read_standing
from service.intake.mqtt_private_broker import free_port
from service.machine import broker_keeping
from service.machine.broker_accounts import BrokerAccounts
from service.machine.broker_keeping import BrokerKeeping, Wish
from tests.broker_fixture import running_broker
from tests.needs import need
from tests.service.machine.mosquitto_with_accounts import mosquitto_with

pytestmark = pytest.mark.broker

USER = "root" if os.geteuid() == 0 else None


@pytest.fixture
def keepings() -> Iterator[list[BrokerKeeping]]:
    made: list[BrokerKeeping] = []
    yield made
    for keeping in made:
        keeping.stop()


def keeping_of(
    keepings: list[BrokerKeeping], data: Path, port: int, program: str | None = ""
) -> BrokerKeeping:
    found = str(need("mosquitto", "broker")) if program == "" else program
    made = BrokerKeeping(data, port=port, user=USER, say=lambda _words: None, program=lambda: found)
    keepings.append(made)
    return made


def standing(data: Path) -> BrokerStanding:
    told = read_standing(data)
    assert told is not None
    return told


def test_where_there_is_none_one_of_our_own_runs(
    tmp_path: Path, keepings: list[BrokerKeeping]
) -> None:
    port = free_port()
    keeping_of(keepings, tmp_path, port).step(Wish())
    told = standing(tmp_path)
    assert (told.host, told.port, told.ours, told.reached_at) == ("127.0.0.1", port, True, ())
    assert "this machine only" in told.words


def test_once_phones_are_let_in_sensors_are_told_where(
    tmp_path: Path, keepings: list[BrokerKeeping]
) -> None:
    port = free_port()
    keeping = keeping_of(keepings, tmp_path, port)
    keeping.step(Wish())
    keeping.step(Wish(let_in=True, addresses=("127.0.0.2",)))
    told = standing(tmp_path)
    assert told.reached_at == ("127.0.0.2",)
    assert "Sensors reach it at 127.0.0.2" in told.words
    keeping.step(Wish())
    assert standing(tmp_path).reached_at == ()


def test_a_machine_without_an_address_says_so(
    tmp_path: Path, keepings: list[BrokerKeeping]
) -> None:
    keeping_of(keepings, tmp_path, free_port()).step(Wish(let_in=True))
    assert "no address in the house" in standing(tmp_path).words


def test_a_broker_that_lets_us_in_is_used(tmp_path: Path, keepings: list[BrokerKeeping]) -> None:
    with running_broker(tmp_path / "broker") as broker:
        keeping_of(keepings, tmp_path, broker.port).step(Wish())
        told = standing(tmp_path)
    assert (told.host, told.port, told.ours) == ("127.0.0.1", broker.port, False)


def test_our_own_takes_the_place_of_one_that_was_stopped(
    tmp_path: Path, keepings: list[BrokerKeeping], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(broker_keeping, "LOOK_EVERY_S", 0.0)
    with running_broker(tmp_path / "other") as broker:
        keeping = keeping_of(keepings, tmp_path, broker.port)
        keeping.step(Wish())
    keeping.step(Wish())
    assert standing(tmp_path).ours


def test_a_broker_that_wants_a_password_is_told_and_not_used(
    tmp_path: Path, keepings: list[BrokerKeeping], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(broker_keeping, "LOOPBACK_PORT", free_port())
    accounts = BrokerAccounts(tmp_path / "accounts")
    accounts.make_ready()
    with mosquitto_with(accounts, tmp_path / "run") as broker:
        keeping_of(keepings, tmp_path, broker.port).step(Wish())
    told = standing(tmp_path)
    assert told.host is None
    assert "wants a name and a password" in told.words


def test_beside_a_door_with_a_password_the_one_for_this_machine_is_found(
    tmp_path: Path, keepings: list[BrokerKeeping], monkeypatch: pytest.MonkeyPatch
) -> None:
    accounts = BrokerAccounts(tmp_path / "accounts")
    accounts.make_ready()
    with (
        running_broker(tmp_path / "open") as this_machine,
        mosquitto_with(accounts, tmp_path / "run") as broker,
    ):
        monkeypatch.setattr(broker_keeping, "LOOPBACK_PORT", this_machine.port)
        keeping_of(keepings, tmp_path, broker.port).step(Wish())
    assert standing(tmp_path).port == this_machine.port


def test_a_program_that_is_no_broker_is_told(tmp_path: Path, keepings: list[BrokerKeeping]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        keeping_of(keepings, tmp_path, port).step(Wish())
    assert standing(tmp_path).host is None
    assert f"Port {port}" in standing(tmp_path).words
    assert "no broker" in standing(tmp_path).words


def test_without_mosquitto_the_keeper_is_told_what_to_do(
    tmp_path: Path, keepings: list[BrokerKeeping]
) -> None:
    keeping_of(keepings, tmp_path, free_port(), program=None).step(Wish())
    assert standing(tmp_path) == BrokerStanding(words=standing(tmp_path).words)
    assert "apt install mosquitto" in standing(tmp_path).words


def test_a_broker_that_the_keeper_names_ends_ours(
    tmp_path: Path, keepings: list[BrokerKeeping]
) -> None:
    port = free_port()
    keeping = keeping_of(keepings, tmp_path, port)
    keeping.step(Wish())
    keeping.step(Wish(told=True))
    assert read_standing(tmp_path) is None
    with socket.socket() as probe:
        assert probe.connect_ex(("127.0.0.1", port)) != 0
