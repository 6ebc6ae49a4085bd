"""Speaks for the simulated sensors over MQTT, each with a connection and a will of its own.

MQTT 3.1.1, which every broker understands. While the broker is away packs wait in the
client, at most ``_WAITING`` of them; those that come after are lost, as on a small device.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from threading import Event
from uuid import uuid4

from paho.mqtt.client import Client, ConnectFlags
from paho.mqtt.enums import CallbackAPIVersion, MQTTProtocolVersion
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode

from simulated_feeds.feed import messages
from simulated_feeds.scenario import Scenario
from simulated_feeds.sensors import SENSORS, SimulatedSensor

_WAITING = 5000
_LONGEST_NAP_S = 0.5
_GOODBYE_S = 2.0
_FOREVER = timedelta(days=3650)


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

    Packs go out with QoS 1 when ``now`` [UTC] has come to their time, late ones at once.
    Every sensor's status is retained: alive while connected, not alive by will or goodbye.
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
    with _connected(host, port, login or Login()) as clients:
        begin = now()
        for at, topic, payload in messages(scenario, begin, begin + _FOREVER):
            if not _wait_for(at, now, speed, stop):
                return
            clients[topic].publish(topic, payload, qos=1)


def _wait_for(at: datetime, now: Callable[[], datetime], speed: float, stop: Event) -> bool:
    """Sleep until the shed's time is ``at``; False when asked to stop before."""
    while (left := (at - now()).total_seconds()) > 0:
        if stop.wait(min(left / speed, _LONGEST_NAP_S)):
            return False
    return not stop.is_set()


@contextmanager
def _connected(host: str, port: int, login: Login) -> Iterator[dict[str, Client]]:
    """A client for each sensor, by the topic of its packs."""
    clients = {sensor.topic: _client(sensor, login) for sensor in SENSORS}
    for client in clients.values():
        # connect_async with loop_start also repeats the first attempt.
        client.connect_async(host, port, keepalive=30)
        client.loop_start()
    try:
        yield clients
    finally:
        for sensor in SENSORS:
            _say_goodbye(clients[sensor.topic], sensor)


def _client(sensor: SimulatedSensor, login: Login) -> Client:
    # A name of its own for each run: two feeds at one broker must not throw each other out.
    client = Client(
        CallbackAPIVersion.VERSION2,
        client_id=f"{sensor.device}-{uuid4().hex[:8]}",
        protocol=MQTTProtocolVersion.MQTTv311,
    )
    client.max_queued_messages_set(_WAITING)
    client.reconnect_delay_set(1, 10)
    client.will_set(sensor.status_topic, _status(sensor, alive=False), qos=1, retain=True)
    if login.username is not None:
        client.username_pw_set(login.username, login.password)
    if login.tls:
        client.tls_set(None if login.ca_file is None else str(login.ca_file))

    def on_connect(
        connected: Client,
        _userdata: object,
        _flags: ConnectFlags,
        reason: ReasonCode,
        _properties: Properties | None,
    ) -> None:
        if not reason.is_failure:
            connected.publish(sensor.status_topic, _status(sensor, alive=True), qos=1, retain=True)

    client.on_connect = on_connect
    return client


def _say_goodbye(client: Client, sensor: SimulatedSensor) -> None:
    if client.is_connected():
        goodbye = client.publish(
            sensor.status_topic, _status(sensor, alive=False), qos=1, retain=True
        )
        goodbye.wait_for_publish(_GOODBYE_S)
    client.disconnect()
    client.loop_stop()


def _status(sensor: SimulatedSensor, *, alive: bool) -> bytes:
    value = "true" if alive else "false"
    return f'[{{"bn":"{sensor.device}:","n":"alive","vb":{value}}}]'.encode()
