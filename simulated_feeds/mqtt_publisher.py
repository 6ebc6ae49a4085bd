"""Speaks for the simulated sensors over MQTT, each with a connection and a will of its own.

MQTT 3.1.1, which every broker understands. While the broker is away packs wait in the
client, at most ``_WAITING`` of them; those that come after are lost, as on a small device.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from threading import Event
from uuid import uuid4

from paho.mqtt.client import Client, ConnectFlags
from paho.mqtt.enums import CallbackAPIVersion, MQTTProtocolVersion
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode

from simulated_feeds.days import Shed
from simulated_feeds.scenario_files.scenario import Scenario
from simulated_feeds.senders.parameters import Sender
from simulated_feeds.senders.payloads import status
from simulated_feeds.stream import Sent, messages

_WAITING = 5000
_LONGEST_NAP_S = 0.5
_GOODBYE_S = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Login:
    """How to be let in; ``ca_file`` is whom to trust, None for the system's own list."""

    username: str | None = None
    password: str | None = None
    tls: bool = False
    ca_file: Path | None = None


def publish(
    scenario: Scenario,
    host: str,
    port: int,
    *,
    now: Callable[[], datetime],
    speed: float,
    stop: Event,
    login: Login | None = None,
) -> None:
    """Publish from ``now()`` on until ``stop`` is set; then say goodbye and return.

    Messages go out with QoS 1 when ``now`` [UTC] has come to their time, late ones at once.
    The status of each of our own kind of sender is retained: alive while connected, not alive
    by will or goodbye, or when the scenario lets it die.
    A broker that is not there, or goes away, is tried again until ``stop``.

    Args:
        scenario: what to tell.
        host: of the broker.
        port: of the broker.
        now: the time in the shed.
        speed: simulated seconds in one real second, above 0: how long to sleep.
        stop: ends it, within half a real second and the goodbye.
        login: where the broker asks for one.
    """
    with _connected(scenario.senders, host, port, login or Login()) as client_of:
        begin = now()
        for sent in _from(scenario, begin):
            if not _wait_for(sent.at, now, speed, stop):
                return
            client_of(sent.topic).publish(sent.topic, sent.payload, qos=1, retain=sent.retain)


def _from(scenario: Scenario, begin: datetime) -> Iterator[Sent]:
    """All that is sent from a time on, without end."""
    return messages(
        Shed(scenario).days(),
        scenario.senders,
        seed=scenario.seed,
        happenings=scenario.happenings,
        since=begin,
        statuses=True,
    )


def _wait_for(at: datetime, now: Callable[[], datetime], speed: float, stop: Event) -> bool:
    """Sleep until the shed's time is ``at``; False when asked to stop before."""
    while (left := (at - now()).total_seconds()) > 0:
        if stop.wait(min(left / speed, _LONGEST_NAP_S)):
            return False
    return not stop.is_set()


@contextmanager
def _connected(
    senders: Sequence[Sender], host: str, port: int, login: Login
) -> Iterator[Callable[[str], Client]]:
    """A client for each sender, found by the topic of a message."""
    clients = {sender.device: _client(sender, login) for sender in senders}
    for client in clients.values():
        # connect_async with loop_start also repeats the first attempt.
        client.connect_async(host, port, keepalive=30)
        client.loop_start()
    try:
        # The device is the second level of every sender's topics.
        yield lambda topic: clients[topic.split("/")[1]]
    finally:
        for sender in senders:
            _say_goodbye(clients[sender.device], sender)


def _client(sender: Sender, login: Login) -> Client:
    # A name of its own for each run: two feeds at one broker must not throw each other out.
    client = Client(
        CallbackAPIVersion.VERSION2,
        client_id=f"{sender.device}-{uuid4().hex[:8]}",
        protocol=MQTTProtocolVersion.MQTTv311,
    )
    client.max_queued_messages_set(_WAITING)
    client.reconnect_delay_set(1, 10)
    if sender.status_topic is not None:
        _keep_status(client, sender.status_topic, sender.device)
    if login.username is not None:
        client.username_pw_set(login.username, login.password)
    if login.tls:
        client.tls_set(None if login.ca_file is None else str(login.ca_file))
    return client


def _keep_status(client: Client, topic: str, device: str) -> None:
    """Alive as soon as it is connected, and not alive by will."""
    client.will_set(topic, status(device, alive=False), qos=1, retain=True)

    def on_connect(
        connected: Client,
        _userdata: object,
        _flags: ConnectFlags,
        reason: ReasonCode,
        _properties: Properties | None,
    ) -> None:
        if not reason.is_failure:
            connected.publish(topic, status(device, alive=True), qos=1, retain=True)

    client.on_connect = on_connect


def _say_goodbye(client: Client, sender: Sender) -> None:
    if client.is_connected() and sender.status_topic is not None:
        not_alive = status(sender.device, alive=False)
        goodbye = client.publish(sender.status_topic, not_alive, qos=1, retain=True)
        goodbye.wait_for_publish(_GOODBYE_S)
    client.disconnect()
    client.loop_stop()
