"""The listener against a real mosquitto."""

import pytest

from tests.broker_fixture import RunningBroker
from tests.listening import listen_until, publish, wait_until
from tests.service.intake.conftest import NOON, Listening

pytestmark = pytest.mark.broker


def test_a_message_arrives_with_its_topic_payload_and_time(
    broker: RunningBroker, listening: Listening
) -> None:
    listener = listening(broker.address)
    wait_until(lambda: listener.liveness().ok)
    publish(broker.address, ["21.5"], topic="shed/a")
    (delivery,) = listen_until(listener, 1)
    assert delivery.message.topic == "shed/a"
    assert delivery.message.payload == b"21.5"
    assert delivery.message.received_at == NOON
    assert not delivery.message.retained
    assert "MQTT 5" in listener.liveness().text


def test_the_canary_comes_back_and_is_never_handed_on(
    broker: RunningBroker, listening: Listening
) -> None:
    listener = listening(broker.address, filters=("#",))
    wait_until(lambda: listener.liveness().canary_age is not None)
    assert listener.take(0.7) == []
