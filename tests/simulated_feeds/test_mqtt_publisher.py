"""The publisher against a real broker, heard by a client that knows nothing of it."""

import json
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from itertools import islice
from pathlib import Path

import pytest
from paho.mqtt.client import Client, MQTTMessage
from paho.mqtt.enums import CallbackAPIVersion

from devices.formats.senml import decode
from devices.message import Message
from devices.sensor import Feed, Format
from service.clock import PacedClock
from simulated_feeds.days import Shed
from simulated_feeds.mqtt_publisher import publish
from simulated_feeds.scenario_files.reading import scenario_of
from simulated_feeds.stream import Sent, messages
from tests.broker_fixture import RunningBroker, running_broker

pytestmark = pytest.mark.broker

# Three days of past are enough: all of it is lived through before the first message.
SEASON = scenario_of("quiet", datetime(2026, 11, 25, 14, 3, tzinfo=UTC), days=3)
SENML = Feed(topic="clutchweather/+/senml", format=Format.SENML)
SPEED = 600.0


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[RunningBroker]:
    with running_broker(tmp_path / "broker") as running:
        yield running


@contextmanager
def hearing(broker: RunningBroker, topic: str) -> Iterator[list[MQTTMessage]]:
    """Everything under ``topic`` from now on, retained messages first."""
    heard: list[MQTTMessage] = []
    ready = threading.Event()
    client = Client(CallbackAPIVersion.VERSION2)

    def on_connect(connected: Client, *_: object) -> None:
        connected.subscribe(topic, qos=1)

    client.on_connect = on_connect
    client.on_subscribe = lambda *_: ready.set()
    client.on_message = lambda _client, _userdata, message: heard.append(message)
    client.reconnect_delay_set(1, 1)
    client.connect("127.0.0.1", broker.port)
    client.loop_start()
    try:
        assert ready.wait(5)
        yield heard
    finally:
        client.disconnect()
        client.loop_stop()


@contextmanager
def publishing(broker: RunningBroker, speed: float = SPEED) -> Iterator[None]:
    stop = threading.Event()
    clock = PacedClock.starting(SEASON.origin, speed)
    thread = threading.Thread(
        target=publish,
        args=(SEASON, "127.0.0.1", broker.port),
        kwargs={"now": clock.now, "speed": speed, "stop": stop},
    )
    thread.start()
    try:
        yield
    finally:
        stop.set()
        thread.join(10)
    assert not thread.is_alive()


def until(claim: Callable[[], bool], within: float = 15.0) -> None:
    end = time.monotonic() + within
    while not claim():
        assert time.monotonic() < end, "did not come true in time"
        time.sleep(0.02)


def expected(count: int) -> list[Sent]:
    """What is sent shortly after the present; the very start may be over already."""
    since = SEASON.origin + timedelta(minutes=2)
    sent = messages(
        Shed(SEASON).days(), SEASON.senders, seed=SEASON.seed, since=since, statuses=False
    )
    return list(islice(sent, count))


def told(heard: list[MQTTMessage]) -> set[tuple[str, bytes]]:
    return {(message.topic, bytes(message.payload)) for message in heard}


def test_subscriber_hears_the_packs_of_the_feed_and_can_decode_them(broker: RunningBroker) -> None:
    wanted = {(sent.topic, sent.payload) for sent in expected(20)}
    with hearing(broker, "clutchweather/+/senml") as heard, publishing(broker):
        until(lambda: wanted <= told(heard))
    assert all(message.qos == 1 and not message.retain for message in heard)
    for topic, payload in wanted:
        message = Message(topic=topic, payload=payload, received_at=SEASON.origin)
        assert not decode(SENML, message).faults


def test_nothing_comes_before_its_time(broker: RunningBroker) -> None:
    clock = PacedClock.starting(SEASON.origin, 60.0)
    early = []
    client = Client(CallbackAPIVersion.VERSION2)

    def on_message(_client: Client, _userdata: object, message: MQTTMessage) -> None:
        stamp = datetime.fromtimestamp(json.loads(message.payload)[0]["bt"], UTC)
        early.append((stamp - clock.now()).total_seconds())

    client.on_message = on_message
    client.connect("127.0.0.1", broker.port)
    client.subscribe("clutchweather/+/senml", qos=1)
    client.loop_start()
    stop = threading.Event()
    arguments = {"now": clock.now, "speed": 60.0, "stop": stop}
    thread = threading.Thread(
        target=publish, args=(SEASON, "127.0.0.1", broker.port), kwargs=arguments
    )
    thread.start()
    try:
        until(lambda: len(early) >= 8)
    finally:
        stop.set()
        thread.join(10)
        client.disconnect()
        client.loop_stop()
    assert max(early) <= 0.0


def test_sensors_are_alive_while_publishing_and_not_afterwards(broker: RunningBroker) -> None:
    def status() -> dict[str, bool]:
        with hearing(broker, "clutchweather/+/status") as heard:
            until(lambda: len(heard) >= 4)
            assert all(message.retain for message in heard[:4])
            packs = [json.loads(message.payload)[0] for message in heard[:4]]
        return {pack["bn"]: pack["vb"] for pack in packs if pack["n"] == "alive"}

    names = ("th-shed:", "th-outdoors:", "th-box-2:", "th-box-4:")
    with hearing(broker, "clutchweather/+/status") as heard, publishing(broker):
        until(lambda: len(heard) >= 4)
        assert status() == dict.fromkeys(names, True)
    assert status() == dict.fromkeys(names, False)


def test_publisher_waits_for_a_broker_that_comes_late(tmp_path: Path) -> None:
    with running_broker(tmp_path / "late", started=False) as broker, publishing(broker):
        time.sleep(1.5)
        broker.start()
        with hearing(broker, "clutchweather/+/senml") as heard:
            until(lambda: len(heard) >= 4)
    assert heard


def test_publisher_comes_back_after_the_broker_was_killed(broker: RunningBroker) -> None:
    with publishing(broker):
        with hearing(broker, "clutchweather/+/senml") as heard:
            until(lambda: len(heard) >= 4)
        broker.kill()
        time.sleep(1.0)
        broker.start()
        with hearing(broker, "clutchweather/+/senml") as again:
            until(lambda: len({message.topic for message in again}) == 4)


def test_publisher_stops_while_it_waits_for_a_broker(tmp_path: Path) -> None:
    begin = time.monotonic()
    with running_broker(tmp_path / "never", started=False) as broker, publishing(broker, 1.0):
        time.sleep(0.2)
    assert time.monotonic() - begin < 10


def test_refused_login_publishes_nothing_and_still_stops(tmp_path: Path) -> None:
    with (
        running_broker(tmp_path / "closed", "allow_anonymous false\n") as broker,
        publishing(broker),
    ):
        until(lambda: "not authorised" in broker.log())
    assert "Received PUBLISH" not in broker.log()
