"""A mosquitto of our own: kept alive, its doors, and what outlives a change of them."""

import os
import signal
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import paho.mqtt.client as mqtt
import pytest
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties

from service.intake.mosquitto_process import is_free
from service.intake.mqtt_finding import Answer, Login, look_for_broker
from service.intake.mqtt_private_broker import free_port
from service.machine.broker_accounts import BrokerAccounts
from service.machine.mosquitto_conf import Doors
from service.machine.mosquitto_own import OwnBroker
from tests.listening import wait_until
from tests.needs import need

pytestmark = pytest.mark.broker

BEYOND = "127.0.0.2"
"""Another address of this machine, in the place of one in the house."""

Run = Callable[[tuple[str, ...]], None]


@pytest.fixture
def said() -> list[str]:
    return []


@pytest.fixture
def own(tmp_path: Path, said: list[str]) -> Iterator[OwnBroker]:
    broker = OwnBroker(str(need("mosquitto", "broker")), tmp_path / "broker", said.append)
    yield broker
    broker.stop()


def doors(port: int, *beyond: str) -> Doors:
    return Doors(port=port, reached_at=beyond, user="root" if os.geteuid() == 0 else None)


def answer(host: str, port: int, name: str = "", password: str = "") -> Answer:
    login = Login(name=name, password=password) if name else None
    return look_for_broker(host, port, login, within_s=3).answer


def test_at_first_it_answers_this_machine_alone(own: OwnBroker) -> None:
    port = free_port()
    own.look_after(doors(port))
    assert answer("127.0.0.1", port) is Answer.LETS_US_IN
    assert answer(BEYOND, port) is Answer.NOBODY


def test_beyond_this_machine_nobody_comes_in_without_a_name_and_a_password(
    own: OwnBroker, tmp_path: Path
) -> None:
    port = free_port()
    own.look_after(doors(port, BEYOND))
    password = BrokerAccounts(tmp_path / "broker").add("th-shed")
    own.look_after(doors(port, BEYOND))
    assert answer(BEYOND, port) is Answer.WANTS_A_PASSWORD
    assert answer(BEYOND, port, "th-shed", "wrong") is Answer.WANTS_A_PASSWORD
    wait_until(lambda: answer(BEYOND, port, "th-shed", password) is Answer.LETS_US_IN)
    assert answer("127.0.0.1", port) is Answer.LETS_US_IN


def test_an_account_that_was_added_counts_without_a_restart(own: OwnBroker, tmp_path: Path) -> None:
    port = free_port()
    own.look_after(doors(port, BEYOND))
    before = own.pid
    password = BrokerAccounts(tmp_path / "broker").add("th-shed")

    def is_let_in() -> bool:
        own.look_after(doors(port, BEYOND))
        return answer(BEYOND, port, "th-shed", password) is Answer.LETS_US_IN

    wait_until(is_let_in)
    assert own.pid == before


class _Watch:
    """A client with a session that is kept, as watch has one."""

    def __init__(self, port: int) -> None:
        self.heard: list[bytes] = []
        self.session_present: bool | None = None
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2, "watch", protocol=mqtt.MQTTv5)
        self._client.on_connect = self._connected
        self._client.on_message = lambda _c, _d, message: self.heard.append(bytes(message.payload))
        kept = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]
        kept.SessionExpiryInterval = 3600
        self._client.connect("127.0.0.1", port, clean_start=False, properties=kept)
        self._client.loop_start()
        wait_until(lambda: self.session_present is not None)

    def _connected(self, client: mqtt.Client, _d: object, flags: object, *_: object) -> None:
        self.session_present = bool(getattr(flags, "session_present", False))
        client.subscribe("#", qos=1)

    def end(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()


def _publish(port: int, *payloads: str) -> None:
    client = mqtt.Client(CallbackAPIVersion.VERSION2)
    client.connect("127.0.0.1", port)
    client.loop_start()
    for payload in payloads:
        client.publish("clutchweather/a/senml", payload, qos=1).wait_for_publish(5)
    client.disconnect()
    client.loop_stop()


def test_the_session_and_what_waits_outlive_a_change_of_doors(own: OwnBroker) -> None:
    port = free_port()
    own.look_after(doors(port))
    watch = _Watch(port)
    time.sleep(0.3)
    watch.end()
    _publish(port, "a", "b")
    before = own.pid
    own.look_after(doors(port, BEYOND))
    assert own.pid != before
    again = _Watch(port)
    wait_until(lambda: len(again.heard) == 2)
    again.end()
    assert again.session_present
    assert again.heard == [b"a", b"b"]


def test_more_than_a_thousand_messages_wait_for_watch(own: OwnBroker) -> None:
    """mosquitto's own limit is 1000 (mosquitto.conf(5), max_queued_messages)."""
    port = free_port()
    own.look_after(doors(port))
    watch = _Watch(port)
    time.sleep(0.3)
    watch.end()
    _publish(port, *(str(n) for n in range(1500)))
    again = _Watch(port)
    wait_until(lambda: len(again.heard) >= 1500, within=20)
    again.end()
    assert again.heard == [str(n).encode() for n in range(1500)]


def test_it_is_started_again_when_it_is_killed(own: OwnBroker, said: list[str]) -> None:
    port = free_port()
    own.look_after(doors(port))
    before = own.pid
    assert before is not None
    os.kill(before, signal.SIGKILL)

    def runs_again() -> bool:
        own.look_after(doors(port))
        return own.pid not in {None, before}

    wait_until(runs_again)
    assert "starting it again" in said[0]
    assert answer("127.0.0.1", port) is Answer.LETS_US_IN


def test_an_address_that_another_program_has_is_left_out_and_taken_when_free(
    own: OwnBroker,
) -> None:
    import socket

    port = free_port()
    with socket.create_server((BEYOND, port)):
        own.look_after(doors(port, BEYOND))
        assert own.doors == doors(port)
        assert answer("127.0.0.1", port) is Answer.LETS_US_IN
        before = own.pid
        own.look_after(doors(port, BEYOND))
        assert own.pid == before, "it is not restarted for nothing"
    own.look_after(doors(port, BEYOND))
    assert own.doors == doors(port, BEYOND)


def test_a_port_that_another_program_has_is_told(own: OwnBroker, said: list[str]) -> None:
    import socket

    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        own.look_after(doors(port))
    assert own.pid is None
    assert f"port {port} of this machine is taken by another program" in said[0]


def test_it_lets_go_of_its_port_when_it_is_stopped(own: OwnBroker) -> None:
    port = free_port()
    own.look_after(doors(port, BEYOND))
    own.stop()
    assert is_free(port)
    assert is_free(port, BEYOND)
