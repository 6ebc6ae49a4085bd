"""What stands at an address, asked of real programs."""

import socket
import threading
from pathlib import Path

import pytest

from service.intake.mqtt_finding import Answer, Login, look_for_broker
from service.intake.mqtt_private_broker import PrivateBroker, free_port
from service.machine.broker_accounts import SERVICE_ACCOUNT, BrokerAccounts
from tests.broker_fixture import running_broker
from tests.service.machine.mosquitto_with_accounts import mosquitto_with

pytestmark = pytest.mark.broker


def test_a_broker_that_asks_for_nothing_lets_us_in(tmp_path: Path) -> None:
    with running_broker(tmp_path) as broker:
        assert look_for_broker("127.0.0.1", broker.port).answer is Answer.LETS_US_IN


def test_a_broker_of_mqtt_3_alone_lets_us_in(tmp_path: Path) -> None:
    pytest.importorskip("iotcore")
    with PrivateBroker(tmp_path, program="") as broker:
        assert look_for_broker("127.0.0.1", broker.port, within_s=2).answer is Answer.LETS_US_IN


def test_a_broker_that_wants_a_password_is_told_apart(tmp_path: Path) -> None:
    accounts = BrokerAccounts(tmp_path / "accounts")
    accounts.make_ready()
    with mosquitto_with(accounts, tmp_path / "run") as broker:
        found = look_for_broker("127.0.0.1", broker.port)
        assert (found.answer, found.words) == (Answer.WANTS_A_PASSWORD, "not authorized")
        login = Login(
            name=SERVICE_ACCOUNT, password=accounts.service_password_file.read_text().strip()
        )
        assert look_for_broker("127.0.0.1", broker.port, login).answer is Answer.LETS_US_IN


def test_nobody_is_nobody() -> None:
    assert look_for_broker("127.0.0.1", free_port()).answer is Answer.NOBODY


@pytest.mark.parametrize("says", [b"", b"HTTP/1.1 400 Bad Request\r\n\r\n", None])
def test_another_program_on_the_port_is_no_broker(says: bytes | None) -> None:
    """One that says nothing and stays, one that answers in another way, one that hangs up."""

    def answer(server: socket.socket) -> None:
        for _ in range(2):
            connection, _ = server.accept()
            if says is None:
                connection.close()
                continue
            connection.sendall(says)
            kept.append(connection)

    kept: list[socket.socket] = []
    with socket.create_server(("127.0.0.1", 0)) as server:
        threading.Thread(target=answer, args=(server,), daemon=True).start()
        found = look_for_broker("127.0.0.1", server.getsockname()[1], within_s=0.5)
    for connection in kept:
        connection.close()
    assert found.answer is Answer.NO_BROKER


def test_looking_leaves_no_session_behind(tmp_path: Path) -> None:
    """By the broker's own log: it would tell of a session that is taken up again."""
    with running_broker(tmp_path, "persistence true\nlog_type all\n") as broker:
        look_for_broker("127.0.0.1", broker.port)
        broker.stop()
        assert b"clutchweather-looks" not in (tmp_path / "mosquitto.db").read_bytes()
