"""Publishing to a broker, and waiting for what a listener hears."""

import time
from collections.abc import Callable, Iterable

from paho.mqtt.publish import multiple

from service.intake.broker_address import BrokerAddress
from service.intake.delivery import Delivery
from service.intake.mqtt_listener import MqttListener


def publish(
    address: BrokerAddress,
    payloads: Iterable[str | bytes],
    *,
    topic: str = "shed/x",
    retain: bool = False,
    qos: int = 1,
) -> None:
    """Send messages as a device would; returns when the broker has answered for all."""
    multiple(
        [{"topic": topic, "payload": p, "qos": qos, "retain": retain} for p in payloads],
        hostname=address.host,
        port=address.port,
    )


def wait_until(claim: Callable[[], bool], within: float = 8.0) -> None:
    """Return when the claim has come true; fail when it does not in time."""
    until = time.monotonic() + within
    while not claim():
        assert time.monotonic() < until, "did not come true in time"
        time.sleep(0.02)


def listen_until(listener: MqttListener, count: int, within: float = 8.0) -> list[Delivery]:
    """Take deliveries until there are ``count``, or time is up."""
    until = time.monotonic() + within
    taken: list[Delivery] = []
    while len(taken) < count and (left := until - time.monotonic()) > 0:
        taken += listener.take(min(left, 0.2))
    return taken


def payloads(deliveries: Iterable[Delivery]) -> list[str]:
    return [delivery.message.payload.decode() for delivery in deliveries]
