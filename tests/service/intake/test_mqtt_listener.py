"""The listener against a real mosquitto."""

import json
import subprocess
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from paho.mqtt.enums import MQTTProtocolVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties
from paho.mqtt.publish import multiple

from service.clock import FixedClock
from service.errors import InputError
from service.intake.batcher import Batcher
from service.intake.broker_address import BrokerAddress
from service.intake.delivery import UNREADABLE_TOPIC
from service.intake.liveness import ListenerState
from service.intake.mqtt_listener import MqttListener
from service.intake.session_file import SESSION_FILE
from tests.broker_fixture import FORGETFUL, RunningBroker, running_broker
from tests.listening import listen_until, payloads, publish, wait_until
from tests.needs import lacking
from tests.service.intake.conftest import NOON, QUICK, Listening
from tests.tcp_proxy import TcpProxy

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


def test_messages_that_waited_together_arrive_at_times_that_rise(
    broker: RunningBroker, listening: Listening
) -> None:
    first = listening(broker.address)
    wait_until(lambda: first.liveness().ok)
    first.stop()
    publish(broker.address, [str(n) for n in range(100)])
    arrived = [one.message.received_at for one in listen_until(listening(broker.address), 100)]
    assert arrived == [NOON + timedelta(milliseconds=n) for n in range(100)]


def test_the_canary_comes_back_and_is_never_handed_on(
    broker: RunningBroker, listening: Listening
) -> None:
    listener = listening(broker.address, filters=("#",))
    wait_until(lambda: listener.liveness().canary_age is not None)
    assert listener.take(0.7) == []


def test_what_was_sent_while_we_were_away_arrives_at_the_next_start(
    broker: RunningBroker, listening: Listening
) -> None:
    first = listening(broker.address)
    wait_until(lambda: first.liveness().ok)
    first.stop()
    publish(broker.address, [str(n) for n in range(10)])
    assert payloads(listen_until(listening(broker.address), 10)) == [str(n) for n in range(10)]


def test_what_was_acknowledged_is_not_sent_again_and_what_was_not_is(
    broker: RunningBroker, listening: Listening
) -> None:
    first = listening(broker.address)
    wait_until(lambda: first.liveness().ok)
    publish(broker.address, [str(n) for n in range(20)])
    first.acknowledge(listen_until(first, 20)[:15])
    wait_until(lambda: broker.log().count("Received PUBACK from shed") == 15)
    first.stop()
    second = listening(broker.address)
    again = listen_until(second, 5)
    assert payloads(again) == ["15", "16", "17", "18", "19"]
    assert second.take(0.5) == []
    assert second.redelivered == 5


def test_dropping_the_connection_on_purpose_brings_the_unacknowledged_again(
    broker: RunningBroker, listening: Listening
) -> None:
    listener = listening(broker.address)
    wait_until(lambda: listener.liveness().ok)
    publish(broker.address, ["1", "2"])
    first = listen_until(listener, 2)
    listener.reconnect()
    again = listen_until(listener, 2)
    assert payloads(again) == ["1", "2"]
    assert again[0].generation > first[0].generation


def test_a_batch_that_never_fills_is_closed_by_time(
    broker: RunningBroker, listening: Listening
) -> None:
    listener = listening(broker.address)
    wait_until(lambda: listener.liveness().ok)
    batcher = Batcher(close_after_s=1.0)
    publish(broker.address, [str(n) for n in range(25)])
    begun = time.monotonic()
    while not batcher.is_due(time.monotonic(), listener.window):
        assert time.monotonic() - begun < 5
        batcher.add(listener.take(0.1), time.monotonic())
    assert len(batcher.close()) == 25


def test_more_messages_than_the_window_all_arrive_when_half_a_window_closes_a_batch(
    broker: RunningBroker,
) -> None:
    listener = MqttListener(
        broker.address, "narrow", ["shed/#"], clock=FixedClock(NOON), receive_maximum=20
    )
    listener.start()
    try:
        wait_until(lambda: listener.liveness().ok)
        publish(broker.address, [str(n) for n in range(100)])
        batcher = Batcher(close_after_s=1.5)
        stored: list[str] = []
        begun = time.monotonic()
        while len(stored) < 100:
            # Closed by time alone it would take five batches of a window each: 7.5 s.
            assert time.monotonic() - begun < 5, f"halted at {len(stored)}"
            batcher.add(listener.take(0.1), time.monotonic())
            if batcher.is_due(time.monotonic(), listener.window):
                batch = batcher.close()
                stored += payloads(batch)
                listener.acknowledge(batch)
        assert stored == [str(n) for n in range(100)]
    finally:
        listener.stop()


def test_a_broker_that_comes_late_is_found(tmp_path: Path, listening: Listening) -> None:
    with running_broker(tmp_path, started=False) as broker:
        listener = listening(broker.address)
        wait_until(lambda: "refused" in listener.liveness().text.lower())
        assert listener.liveness().state is ListenerState.CONNECTING
        assert listener.alive()
        broker.start()
        wait_until(lambda: listener.liveness().ok)


def test_a_broker_that_ends_is_told_and_found_again(
    broker: RunningBroker, listening: Listening
) -> None:
    listener = listening(broker.address)
    wait_until(lambda: listener.liveness().ok)
    broker.kill()
    wait_until(lambda: not listener.liveness().connected)
    assert listener.liveness().text.startswith("not connected")
    assert listener.alive()
    broker.start()
    wait_until(lambda: listener.liveness().ok)
    publish(broker.address, ["here again"])
    assert payloads(listen_until(listener, 1)) == ["here again"]


def test_a_retained_reading_is_marked_as_such_at_every_start(
    broker: RunningBroker, listening: Listening
) -> None:
    publish(broker.address, ["old"], retain=True)
    for _ in range(3):
        listener = listening(broker.address)
        (delivery,) = listen_until(listener, 1)
        assert delivery.message.retained
        listener.acknowledge([delivery])
        listener.stop()


def test_poison_messages_do_not_keep_good_ones_away(
    broker: RunningBroker, listening: Listening
) -> None:
    """A topic that is not UTF-8 is made on the way: mosquitto takes none from a sender."""
    bad = b"shed/b\xff\xfed"
    hostile = [
        b"\xff\x00",
        b"NaN",
        b"[" * 20_000,
        b"{" + b'"a":' * 500,
        b"",
        b"<img src=x>",
    ]
    with TcpProxy(broker.address, lambda sent: sent.replace(b"shed/badd", bad)) as proxy:
        listener = listening(proxy.address)
        wait_until(lambda: listener.liveness().ok)
        for number in range(10):
            publish(broker.address, [f"good {number}"])
            publish(broker.address, [f"poison {number}"], topic="shed/badd")
        publish(broker.address, hostile)
        deliveries = listen_until(listener, 26)
        listener.acknowledge(deliveries)
        assert [p.message.payload for p in deliveries if b"good" in p.message.payload] == [
            f"good {number}".encode() for number in range(10)
        ]
        assert [p.message.payload for p in deliveries][20:] == hostile
        poisoned = [p.message for p in deliveries if p.message.topic.startswith(UNREADABLE_TOPIC)]
        assert len(poisoned) == listener.unreadable == 10
        assert poisoned[0].topic.endswith("shed/b\\xff\\xfed")
        assert listener.alive()
        assert listener.faults == 0


def test_a_message_that_can_not_be_read_in_mqtt_5_arrives_in_3_1_1(
    broker: RunningBroker, listening: Listening
) -> None:
    """A user property is broken on the way; version 3.1.1 has no properties."""
    properties = Properties(PacketTypes.PUBLISH)  # type: ignore[no-untyped-call]
    properties.UserProperty = ("note", "breakable")
    with TcpProxy(broker.address, lambda sent: sent.replace(b"breakable", b"\xff" * 9)) as proxy:
        listener = listening(proxy.address)
        wait_until(lambda: listener.liveness().ok)
        message = {"topic": "shed/x", "payload": "kept", "qos": 1, "properties": properties}
        multiple(
            [message],  # type: ignore[list-item]
            hostname=broker.address.host,
            port=broker.port,
            protocol=MQTTProtocolVersion.MQTTv5,
        )
        assert payloads(listen_until(listener, 1)) == ["kept"]
        assert "3.1.1" in listener.liveness().text


class _FaultyClock:
    """Fails as often as it is told to, in the way it is told to."""

    def __init__(self, failure: type[BaseException], times: int) -> None:
        self._failure = failure
        self._times = times

    def now(self) -> datetime:
        self._times -= 1
        if self._times >= 0:
            raise self._failure
        return NOON


def test_a_fault_in_the_network_thread_is_counted_and_loses_nothing(
    broker: RunningBroker,
) -> None:
    clock = _FaultyClock(RuntimeError, 2)
    listener = MqttListener(broker.address, "shed", ["shed/#"], clock=clock, patience=QUICK)
    listener.start()
    try:
        wait_until(lambda: listener.liveness().ok)
        publish(broker.address, ["1", "2", "3"])
        assert payloads(listen_until(listener, 3)) == ["1", "2", "3"]
        assert listener.faults == 2
        assert listener.alive()
    finally:
        listener.stop()


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_dead_network_thread_is_noticed(broker: RunningBroker) -> None:
    clock = _FaultyClock(SystemExit, 1000)
    listener = MqttListener(broker.address, "shed", ["shed/#"], clock=clock, patience=QUICK)
    listener.start()
    try:
        wait_until(lambda: listener.liveness().ok)
        assert listener.alive()
        publish(broker.address, ["deadly"])
        wait_until(lambda: not listener.alive())
        assert not listener.liveness().connected
        assert "does not move" in listener.liveness().text
    finally:
        listener.stop()


def test_a_full_hand_off_leaves_the_rest_with_the_broker_and_stops_at_once(
    broker: RunningBroker, listening: Listening
) -> None:
    listener = listening(broker.address, queue_size=10)
    wait_until(lambda: listener.liveness().ok)
    publish(broker.address, [str(n) for n in range(50)])
    wait_until(lambda: "not being stored" in listener.liveness().text)
    assert listener.received <= 11
    begun = time.monotonic()
    listener.stop()
    assert time.monotonic() - begun < 1.5
    second = listening(broker.address)
    assert payloads(listen_until(second, 50)) == [str(n) for n in range(50)]


def test_reading_goes_on_when_the_hand_off_has_room_again(
    broker: RunningBroker, listening: Listening
) -> None:
    listener = listening(broker.address, queue_size=10)
    wait_until(lambda: listener.liveness().ok)
    publish(broker.address, [str(n) for n in range(50)])
    wait_until(lambda: "not being stored" in listener.liveness().text)
    assert set(payloads(listen_until(listener, 50))) == {str(n) for n in range(50)}


def test_a_refused_subscription_is_told_in_words_and_asked_for_again(
    tmp_path: Path, listening: Listening
) -> None:
    """mosquitto's plain access lists grant every subscription; its own plugin refuses."""
    roles = tmp_path / "roles.json"
    roles.write_text(_roles_that_allow("shed/#"))
    plugins = [*Path("/usr/lib").glob("*/mosquitto_dynamic_security.so")]
    if not plugins:
        lacking("mosquitto's dynamic security plugin", "broker")
    configuration = f"plugin {plugins[0]}\nplugin_opt_config_file {roles}\n"
    with running_broker(tmp_path / "broker", configuration) as broker:
        listener = listening(broker.address, filters=("shed/#", "secret/#"))
        begun = time.monotonic()
        wait_until(lambda: listener.liveness().state is ListenerState.REFUSED)
        assert time.monotonic() - begun < 10
        told = listener.liveness()
        assert "refuses to pass on secret/#: not authorized" in told.text
        assert not told.ok
        publish(broker.address, ["still heard"])
        assert payloads(listen_until(listener, 1)) == ["still heard"]
        wait_until(lambda: broker.log().count("secret/# (QoS 1)") >= 3)
        assert broker.log().count("New client connected from 127.0.0.1") == 2  # us, the publisher
        broker.kill()
        roles.write_text(_roles_that_allow("shed/#", "secret/#"))
        broker.start()
        wait_until(lambda: listener.liveness().ok)


def test_a_broker_that_grants_everything_and_passes_nothing_on_is_doubted(
    tmp_path: Path, listening: Listening
) -> None:
    """mosquitto's plain access lists: the subscription is granted, nothing is delivered."""
    rules = tmp_path / "rules"
    rules.write_text("topic write #\n")
    with running_broker(tmp_path / "broker", f"acl_file {rules}\n") as broker:
        listener = listening(broker.address)
        wait_until(lambda: listener.liveness().ok)
        assert "test message" not in listener.liveness().text
        wait_until(lambda: "test message has not come back" in listener.liveness().text)


def _roles_that_allow(*filters: str) -> str:
    closed = {"publishClientSend": True, "publishClientReceive": True, "unsubscribe": True}
    return json.dumps(
        {
            "defaultACLAccess": {**closed, "subscribe": False},
            "anonymousGroup": "anyone",
            "groups": [{"groupname": "anyone", "roles": [{"rolename": "some"}]}],
            "roles": [
                {
                    "rolename": "some",
                    "acls": [
                        {"acltype": "subscribePattern", "topic": name, "allow": True}
                        for name in filters
                    ],
                }
            ],
        }
    )


def test_a_wrong_password_is_told_in_words_and_a_mended_one_is_used(
    tmp_path: Path, listening: Listening
) -> None:
    access = tmp_path / "passwords"
    access.write_text("keeper:seed and water\n")
    subprocess.run(["mosquitto_passwd", "-U", str(access)], check=True)
    access.chmod(0o600)
    password = tmp_path / "password"
    password.write_text("wrong\n")
    with running_broker(tmp_path / "broker", f"password_file {access}\n") as broker:
        address = BrokerAddress(
            host="127.0.0.1", port=broker.port, username="keeper", password_file=password
        )
        listener = listening(address)
        wait_until(lambda: listener.liveness().state is ListenerState.REFUSED)
        assert "the broker refuses us: not authorized" in listener.liveness().text
        password.write_text("seed and water\n")
        wait_until(lambda: listener.liveness().ok)


def test_a_missing_password_file_is_told_by_name(
    broker: RunningBroker, tmp_path: Path, listening: Listening
) -> None:
    address = BrokerAddress(
        host="127.0.0.1", port=broker.port, username="keeper", password_file=tmp_path / "absent"
    )
    listener = listening(address)
    wait_until(lambda: str(tmp_path / "absent") in listener.liveness().text)


def test_two_copies_of_one_name_are_told(broker: RunningBroker, listening: Listening) -> None:
    one = listening(broker.address, client_id="same")
    other = listening(broker.address, client_id="same")
    wait_until(lambda: "two copies" in one.liveness().text, within=10)
    wait_until(lambda: "two copies" in other.liveness().text, within=10)


def test_a_connection_that_swallows_everything_is_noticed_and_renewed(
    broker: RunningBroker, listening: Listening
) -> None:
    with TcpProxy(broker.address) as proxy:
        listener = listening(proxy.address)
        wait_until(lambda: listener.liveness().ok)
        proxy.swallowing = True
        wait_until(lambda: not listener.liveness().connected, within=6)
        assert listener.alive()
        proxy.swallowing = False
        wait_until(lambda: listener.liveness().ok, within=10)
        assert proxy.connections >= 2


def test_a_session_that_the_broker_lost_is_a_possible_gap(
    tmp_path: Path, listening: Listening
) -> None:
    with running_broker(tmp_path, FORGETFUL) as broker:
        listener = listening(broker.address)
        wait_until(lambda: listener.liveness().ok)
        assert listener.take_gaps() == []
        broker.kill()
        wait_until(lambda: not listener.liveness().connected)
        broker.start()
        wait_until(lambda: listener.liveness().ok)
        (gap,) = listener.take_gaps()
        assert gap.at == NOON
        assert "no longer knew our session" in gap.reason
        assert listener.take_gaps() == []


def test_a_session_lost_between_two_starts_is_a_possible_gap_but_not_at_the_first(
    tmp_path: Path, listening: Listening
) -> None:
    data = tmp_path / "data"
    data.mkdir()
    with running_broker(tmp_path / "broker", FORGETFUL) as broker:
        gaps = []
        for forgets in (False, False, True):
            if forgets:
                broker.kill()
                broker.start()
            listener = listening(broker.address, data=data)
            wait_until(lambda: listener.liveness().ok)  # noqa: B023
            gaps.append(len(listener.take_gaps()))
            listener.stop()
        assert gaps == [0, 0, 1]


def _without_mqtt_5(sent: bytes) -> bytes:
    """Turns the CONNACK of MQTT 5, which is longer than that of 3.1.1, into a refusal:
    unsupported protocol version (OASIS MQTT 5.0, section 3.2.2.2)."""
    is_connack_of_5 = sent[:1] == b"\x20" and sent[1] > 2
    return b"\x20\x03\x00\x84\x00" if is_connack_of_5 else sent


@pytest.mark.parametrize("to_client", [bytes, _without_mqtt_5])
def test_a_feed_that_is_wanted_no_more_is_given_up_at_the_next_start(
    broker: RunningBroker,
    tmp_path: Path,
    listening: Listening,
    to_client: Callable[[bytes], bytes],
) -> None:
    file = tmp_path / SESSION_FILE
    with TcpProxy(broker.address, to_client) as proxy:
        first = listening(proxy.address, filters=("noisy/#", "shed/#"), data=tmp_path)
        wait_until(lambda: first.liveness().ok)
        wait_until(file.exists)
        first.stop()
        second = listening(proxy.address, filters=("shed/#",), data=tmp_path)
        wait_until(lambda: json.loads(file.read_text()) == ["shed/#"])
        publish(broker.address, ["unwanted"], topic="noisy/x")
        publish(broker.address, ["wanted"], topic="shed/x")
        assert payloads(listen_until(second, 2, within=1.5)) == ["wanted"]
        assert ("3.1.1" in second.liveness().text) == (to_client is _without_mqtt_5)


def test_a_feed_that_is_wanted_no_more_is_remembered_until_the_broker_lets_go(
    tmp_path: Path, listening: Listening
) -> None:
    (tmp_path / SESSION_FILE).write_text('["noisy/#"]')
    plugins = [*Path("/usr/lib").glob("*/mosquitto_dynamic_security.so")]
    if not plugins:
        lacking("mosquitto's dynamic security plugin", "broker")
    roles = tmp_path / "roles.json"
    roles.write_text(
        _roles_that_allow("shed/#").replace('"unsubscribe": true', '"unsubscribe": false')
    )
    configuration = f"plugin {plugins[0]}\nplugin_opt_config_file {roles}\n"
    with running_broker(tmp_path / "broker", configuration) as broker:
        listener = listening(broker.address, data=tmp_path)
        wait_until(lambda: listener.liveness().connected)
        wait_until(lambda: "shed/#" in (tmp_path / SESSION_FILE).read_text())
        assert json.loads((tmp_path / SESSION_FILE).read_text()) == ["noisy/#", "shed/#"]


def test_a_filter_that_mqtt_does_not_allow_is_refused_by_name() -> None:
    with pytest.raises(InputError, match="shed/#/x"):
        MqttListener(BrokerAddress(), "shed", ["shed/#/x"], clock=FixedClock(NOON))
