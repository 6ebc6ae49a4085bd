"""Listening to every topic for a while, against a real mosquitto."""

import threading
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from paho.mqtt.publish import multiple

from service.clock import FixedClock
from service.intake.broker_address import BrokerAddress
from service.intake.mqtt_round import MqttRound
from service.store.reading_store import Overheard
from tests.broker_fixture import PERSISTENT, RunningBroker, running_broker
from tests.listening import publish, wait_until
from tests.service.intake.conftest import NOON, Listening

if TYPE_CHECKING:
    from paho.mqtt.publish import MessagesList

pytestmark = pytest.mark.broker


@pytest.fixture
def rounds() -> Iterator[list[MqttRound]]:
    begun: list[MqttRound] = []
    yield begun
    for one in begun:
        one.stop()


def begin(
    rounds: list[MqttRound],
    address: BrokerAddress,
    *,
    filters: Sequence[str] = ("radio/known/#",),
    seconds: float = 60.0,
) -> MqttRound:
    begun = MqttRound(
        address, "shed", filters, clock=FixedClock(NOON), ends_at=time.monotonic() + seconds
    )
    rounds.append(begun)
    begun.start()
    return begun


def take_until(one: MqttRound, count: int) -> list[Overheard]:
    taken: list[Overheard] = []

    def enough() -> bool:
        taken.extend(one.take())
        return len(taken) >= count

    wait_until(enough)
    return taken


def test_a_topic_without_a_feed_is_overheard(
    broker: RunningBroker, rounds: list[MqttRound]
) -> None:
    listening = begin(rounds, broker.address)
    wait_until(lambda: listening.listening)
    publish(broker.address, [b"\xff1"], topic="radio/new")
    (heard,) = take_until(listening, 1)
    assert (heard.topic, heard.payload, heard.at) == ("radio/new", b"\xff1", NOON)
    assert heard.reason == "no feed listens to this topic"


def test_what_feeds_canaries_and_our_own_status_carry_is_not_overheard(
    broker: RunningBroker, rounds: list[MqttRound]
) -> None:
    listening = begin(rounds, broker.address)
    wait_until(lambda: listening.listening)
    for topic in ("radio/known/x", "clutchweather/me/canary", "clutchweather/th-1/status", "last"):
        publish(broker.address, ["1"], topic=topic)
    assert [one.topic for one in take_until(listening, 1)] == ["last"]


def test_the_counts_of_the_broker_itself_are_not_overheard(
    tmp_path: Path, rounds: list[MqttRound]
) -> None:
    with running_broker(tmp_path / "busy", f"{PERSISTENT}sys_interval 1\n") as broker:
        listening = begin(rounds, broker.address)
        wait_until(lambda: listening.listening)
        time.sleep(2.5)
        assert listening.take() == []
        listening.stop()


def test_what_the_broker_had_kept_is_overheard_and_said_to_be_old(
    broker: RunningBroker, rounds: list[MqttRound]
) -> None:
    publish(broker.address, ["21"], topic="radio/kept", retain=True)
    (heard,) = take_until(begin(rounds, broker.address), 1)
    assert "it may be old" in heard.reason


def test_a_round_ends_by_itself_and_leaves_nothing_at_the_broker(
    broker: RunningBroker, rounds: list[MqttRound]
) -> None:
    listening = begin(rounds, broker.address, seconds=1.0)
    wait_until(lambda: listening.listening)
    wait_until(lambda: listening.over)
    assert listening.trouble == ""
    publish(broker.address, ["1"], topic="radio/late")
    assert listening.take() == []
    assert "as shed-round (p2, c1," in broker.log()  # c1: a session that ends with it


def test_a_round_that_is_refused_says_why(tmp_path: Path, rounds: list[MqttRound]) -> None:
    (tmp_path / "nobody").touch()
    refusing = f"allow_anonymous false\npassword_file {tmp_path / 'nobody'}\n"
    with running_broker(tmp_path / "refusing", refusing) as broker:
        listening = begin(rounds, broker.address)
        wait_until(lambda: listening.over)
        assert "refuses us" in listening.trouble


def test_a_broker_that_is_away_ends_a_round_in_words(
    tmp_path: Path, rounds: list[MqttRound]
) -> None:
    with running_broker(tmp_path / "away", started=False) as broker:
        listening = begin(rounds, broker.address, seconds=1.0)
        wait_until(lambda: listening.over)
        assert listening.trouble


NOISE: "MessagesList" = [(f"noise/{n}", "1", 0, False) for n in range(50)]


def test_a_flood_on_foreign_topics_delays_no_known_sensor(
    broker: RunningBroker, listening: Listening, rounds: list[MqttRound]
) -> None:
    known = listening(broker.address, filters=("radio/known/#",))
    round_ = begin(rounds, broker.address)
    wait_until(lambda: known.liveness().ok and round_.listening)
    over = threading.Event()

    def flood() -> None:
        # About 500 messages a second, from 50 topics.
        while not over.is_set():
            begun = time.monotonic()
            multiple(NOISE, hostname=broker.address.host, port=broker.address.port)
            over.wait(max(0.0, 0.1 - (time.monotonic() - begun)))

    flooding = threading.Thread(target=flood)
    flooding.start()
    try:
        slowest = 0.0
        for n in range(10):
            sent = time.monotonic()
            publish(broker.address, [str(n)], topic="radio/known/x")
            while not known.take(0.05):
                assert time.monotonic() - sent < 3
            slowest = max(slowest, time.monotonic() - sent)
            time.sleep(0.2)
    finally:
        over.set()
        flooding.join()
    # A machine that does much else at the same time is slow; a second would be our fault.
    assert slowest < 1.0
    assert {one.topic for one in take_until(round_, 50)} == {f"noise/{n}" for n in range(50)}
