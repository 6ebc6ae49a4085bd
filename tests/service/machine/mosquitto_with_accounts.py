"""A real mosquitto that lets in whom the accounts name, and what it lets them do."""

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import paho.mqtt.client as mqtt
from paho.mqtt.enums import CallbackAPIVersion

from service.machine.broker_accounts import BrokerAccounts
from tests.broker_fixture import RunningBroker
from tests.listening import wait_until


@contextmanager
def mosquitto_with(accounts: BrokerAccounts, folder: Path) -> Iterator[RunningBroker]:
    """A mosquitto with the password file and the access list of ``accounts``."""
    broker = RunningBroker(folder, "")
    broker._file.write_text(
        broker._file.read_text().replace("allow_anonymous true", "allow_anonymous false")
        + f"password_file {accounts.passwords_file}\nacl_file {accounts.access_file}\n"
    )
    broker.start()
    try:
        yield broker
    finally:
        broker.kill()


def reload(broker: RunningBroker) -> None:
    """SIGHUP, as systemd's reload of mosquitto does."""
    process: subprocess.Popen[bytes] | None = broker._process
    assert process is not None
    process.send_signal(1)


class Device:
    """One MQTT client with a name and a password; None for both is nobody."""

    def __init__(self, port: int, name: str | None, password: str | None, host: str = "") -> None:
        self.heard: list[tuple[str, bytes]] = []
        self.answer: str | None = None
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2)
        if name is not None:
            self._client.username_pw_set(name, password)
        self._client.on_connect = self._connected
        self._client.on_message = lambda _client, _data, message: self.heard.append(
            (message.topic, bytes(message.payload))
        )
        self._client.connect(host or "127.0.0.1", port)
        self._client.loop_start()
        wait_until(lambda: self.answer is not None)

    def _connected(
        self, _client: object, _data: object, _flags: object, reason: object, _properties: object
    ) -> None:
        self.answer = str(reason)

    @property
    def let_in(self) -> bool:
        return self.answer == "Success"

    def subscribe(self, topic: str) -> None:
        subscribed: list[int] = []
        self._client.on_subscribe = lambda *_: subscribed.append(1)
        self._client.subscribe(topic, qos=1)
        wait_until(lambda: bool(subscribed))

    def publish(self, topic: str, payload: str) -> None:
        self._client.publish(topic, payload, qos=1).wait_for_publish(5)

    def end(self) -> None:
        self._client.disconnect()
        self._client.loop_stop()
