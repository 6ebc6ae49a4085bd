"""Listens to the feeds of a shed and hands every message on, unacknowledged.

One thread owns the connection: it connects, again and again if need be, reads while there is
room, and sends the acknowledgements that the consumer asks for once its readings are safe.
What it can't do it tells in words (``liveness``) and tries again; nothing ends it but
``stop``. The consumer calls ``take``, commits, and calls ``acknowledge``.
"""

import logging
import socket
import threading
import time
from collections import deque
from collections.abc import Sequence
from pathlib import Path

from paho.mqtt.client import MQTTMessage
from paho.mqtt.enums import MQTTProtocolVersion

from devices.message import Message
from service.clock import Clock
from service.errors import BrokerRefusedError, InputError
from service.intake.ack_order import AckOrder
from service.intake.arrival import Arrivals
from service.intake.broker_address import BrokerAddress
from service.intake.delivery import UNREADABLE_TOPIC, Delivery, PossibleGap
from service.intake.handoff import Handoff
from service.intake.liveness import (
    ConnectCounter,
    Liveness,
    Patience,
    Situation,
    Standing,
    liveness_of,
)
from service.intake.mqtt_connection import Connection, Introduction, VersionRefusedError
from service.intake.mqtt_topics import canary_topic, is_canary, is_valid_filter
from service.intake.session_file import SessionFile

log = logging.getLogger(__name__)

RECEIVE_MAXIMUM = 1000
QUEUE_SIZE = 4000
_LONGEST_CONNECT_S = 120.0
_FAULTS_BEFORE_3_1_1 = 2


class MqttListener:
    """The shed's ear.

    Args:
        address: Where the broker is.
        client_id: The fixed name under which the broker keeps our session.
        filters: The topic filters of all feeds, at least one.
        clock: Stamps the arrival of messages, which is made to rise with each of them.
        receive_maximum: How many messages the broker may send ahead of our answers (MQTT 5).
        queue_size: How many deliveries may wait for the consumer; beyond, the broker holds
            the rest.
        data: The data folder, in which a small file remembers that the broker knew us, so
            that a session lost between two starts is noticed, and for which topics it did, so
            that those of a feed no longer wanted are given up. None: only while we run.
        patience: How long to wait for what.

    Raises:
        InputError: there is no filter, or one that MQTT does not allow.
    """

    def __init__(
        self,
        address: BrokerAddress,
        client_id: str,
        filters: Sequence[str],
        *,
        clock: Clock,
        receive_maximum: int = RECEIVE_MAXIMUM,
        queue_size: int = QUEUE_SIZE,
        data: Path | None = None,
        patience: Patience | None = None,
    ) -> None:
        self.received = 0
        self.redelivered = 0
        self.unreadable = 0
        self.faults = 0
        wrong = [name for name in filters if not is_valid_filter(name)]
        if wrong or not filters:
            raise InputError(f"no topic filter that MQTT allows: {', '.join(wrong) or 'none'}")
        self._patience = patience or Patience()
        self._about_us = Introduction(
            address=address,
            client_id=client_id,
            filters=tuple(dict.fromkeys(filters)),
            canary=canary_topic(client_id),
            receive_maximum=receive_maximum,
            patience=self._patience,
        )
        self._clock = clock
        self._arrivals = Arrivals()
        self._session = SessionFile(data)
        self._wake_in, self._wake_out = socket.socketpair()
        self._wake_in.setblocking(False)
        self._wake_out.setblocking(False)
        self._handoff = Handoff(queue_size, self._wake)
        self._acks: deque[Delivery] = deque()
        self._order = AckOrder()
        self._gaps: deque[PossibleGap] = deque()
        self._counter = ConnectCounter()
        self._connection: Connection | None = None
        self._generation = 0
        self._canary_back: float | None = None
        self._welcomed_at = 0.0
        self._trouble = "not yet connected"
        self._refused_entry = False
        self._faults_in_a_row = 0
        self._moved = time.monotonic()
        self._connecting = False
        self._reconnect = threading.Event()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="mqtt-listener", daemon=True)

    # What the consumer calls

    def start(self) -> None:
        """Begin to listen. Returns at once: the broker may come later."""
        self._thread.start()

    def stop(self, timeout: float = 5.0) -> None:
        """Send the acknowledgements that are asked for, say goodbye and end [s].

        Deliveries that were not acknowledged stay with the broker.
        """
        self._stop.set()
        self._wake()
        self._handoff.wake()
        if self._thread.is_alive():
            self._thread.join(timeout)
        if not self._thread.is_alive():
            self._wake_in.close()
            self._wake_out.close()

    def take(self, timeout: float) -> list[Delivery]:
        """All that has come, oldest first; waits up to ``timeout`` [s] for the first."""
        return self._handoff.take(timeout)

    def acknowledge(self, deliveries: Sequence[Delivery]) -> None:
        """Tell the broker that these are safe. Call it after the commit, for every delivery.

        The broker is told in receive order, so one that is never acknowledged holds up those
        behind it until the next connection. What came over an earlier connection is left out:
        its number may name another message by now. The broker sends it again, and the store
        knows it already.
        """
        self._acks.extend(delivery for delivery in deliveries if delivery.mid)
        self._wake()

    def take_gaps(self) -> list[PossibleGap]:
        """The possible gaps noticed since the last call, oldest first."""
        gaps = []
        while self._gaps:
            gaps.append(self._gaps.popleft())
        return gaps

    def reconnect(self) -> None:
        """Drop the connection and make a new one, so that the broker sends again what is
        unacknowledged: on a standing connection it never does.
        """
        self._reconnect.set()
        self._wake()

    @property
    def window(self) -> int:
        """How many messages the broker sends before it waits for acknowledgements."""
        connection = self._connection
        return self._about_us.receive_maximum if connection is None else connection.window

    def alive(self) -> bool:
        """Whether the thread that listens does its work. False: end the process.

        A broker that is down is no reason: the thread is then trying to reach it.
        """
        patience_s = self._patience.silent_after + self._patience.answer_within
        still_s = time.monotonic() - self._moved
        limit_s = max(_LONGEST_CONNECT_S, patience_s) if self._connecting else patience_s
        return self._stop.is_set() or (self._thread.is_alive() and still_s < limit_s)

    def liveness(self) -> Liveness:
        """How we stand with the broker now."""
        now = time.monotonic()
        connection = self._connection
        situation = Situation(
            broker=f"{self._about_us.address.host}:{self._about_us.address.port}",
            stopped=self._stop.is_set(),
            moves=self.alive(),
            has_room=self._handoff.has_room(),
            two_copies=self._counter.two_copies_suspected(now),
            trouble=self._trouble,
            entry_refused=self._refused_entry,
            standing=None if connection is None else self._standing(connection),
        )
        return liveness_of(situation, self._patience, now)

    def _standing(self, connection: Connection) -> Standing:
        refused = dict(connection.refused)
        return Standing(
            version=connection.version_name,
            subscribed=connection.subscribed,
            canary_refused=refused.pop(self._about_us.canary, None) is not None,
            refused=refused,
            welcomed_at=self._welcomed_at,
            last_packet=connection.last_packet,
            canary_back=self._canary_back,
        )

    # What the network thread does

    def _run(self) -> None:
        pause_s = self._patience.first_pause
        while not self._stop.is_set():
            begun = time.monotonic()
            on_purpose = self._one_connection()
            if time.monotonic() - begun >= self._patience.steady_after:
                pause_s = self._patience.first_pause
            if not on_purpose:
                self._wait(pause_s)
                pause_s = min(2 * pause_s, self._patience.longest_pause)

    def _wait(self, seconds: float) -> None:
        until = time.monotonic() + seconds
        while not self._stop.is_set() and (left := until - time.monotonic()) > 0:
            self._moved = time.monotonic()
            self._stop.wait(min(left, 1.0))

    def _one_connection(self) -> bool:
        """Connect and serve until the connection ends; whether it was ended on purpose."""
        while not self._handoff.has_room() and not self._stop.is_set():
            self._trouble = "messages wait to be stored"
            self._wait(0.2)
        try:
            connection = self._open()
            try:
                on_purpose = self._serve(connection)
            finally:
                self._connection = None
                connection.close()
        except BrokerRefusedError as error:
            self._tell(str(error), refused=not isinstance(error, VersionRefusedError))
        except OSError as error:
            self._tell(str(error) if error.filename else error.strerror or str(error))
        except Exception:
            # Whatever went wrong in here must not end the listening.
            self.faults += 1
            self._faults_in_a_row += 1
            log.exception("the listener met a fault and connects again")
            self._tell("a fault in the listener, kept in the log")
        else:
            self._faults_in_a_row = self._faults_in_a_row + 1 if connection.unreadable else 0
            self._tell(connection.ended or "the connection was dropped")
            return on_purpose
        return False

    def _tell(self, trouble: str, *, refused: bool = False) -> None:
        self._refused_entry = refused
        if trouble != self._trouble and not self._stop.is_set():
            log.warning("broker: %s", trouble)
        self._trouble = trouble

    def _open(self) -> Connection:
        """A connection that the broker accepted, in MQTT 5 or else in 3.1.1.

        MQTT 5 is asked for first every time, so that a broker which was only slow or has been
        renewed meanwhile is not served by the older version for ever.
        """
        self._reconnect.clear()
        self._connecting = True
        try:
            if self._faults_in_a_row >= _FAULTS_BEFORE_3_1_1:
                # 3.1.1 has no properties, the likely place of what could not be read.
                return self._open_in(MQTTProtocolVersion.MQTTv311)
            try:
                return self._open_in(MQTTProtocolVersion.MQTTv5)
            except VersionRefusedError:
                return self._open_in(MQTTProtocolVersion.MQTTv311)
        finally:
            self._connecting = False

    def _open_in(self, version: MQTTProtocolVersion) -> Connection:
        self._moved = time.monotonic()
        self._generation += 1
        self._order = AckOrder()
        connection = Connection(self._about_us, version, self._arrived, self._wake_out)
        try:
            connection.open(lambda: not self._stop.is_set())
        except BaseException:
            connection.close()
            raise
        self._welcomed(connection)
        return connection

    def _welcomed(self, connection: Connection) -> None:
        now = time.monotonic()
        self._moved = now
        self._counter.connected(now)
        self._refused_entry = False
        self._canary_back = None
        self._welcomed_at = now
        if self._session.known and not connection.session_present:
            self._gaps.append(
                PossibleGap(
                    at=self._clock.now(),
                    reason="The broker no longer knew our session: what was sent while it was "
                    "down or we were away may be missing.",
                )
            )
        connection.unsubscribe(self._session.filters.difference(self._about_us.filters))
        connection.subscribe()
        self._connection = connection
        log.info("connected in %s", connection.version_name)

    def _serve(self, connection: Connection) -> bool:
        """Until the connection ends; whether it was us who wanted that."""
        patience = self._patience
        next_canary = time.monotonic()
        ask_again = next_canary + patience.ask_again_after
        standing = True
        while standing and not self._stop.is_set() and not self._reconnect.is_set():
            self._moved = now = time.monotonic()
            self._send_acks(connection)
            if connection.subscribed:
                self._remember_session(connection)
            if now >= next_canary:
                connection.send_canary(b"still there")
                next_canary = now + patience.canary_every
            if now >= ask_again:
                connection.subscribe_what_is_missing()
                ask_again = now + patience.ask_again_after
            reading = self._handoff.has_room()
            standing = connection.step(min(1.0, patience.canary_every), self._handoff.has_room)
            if reading and self._is_silent(connection):
                connection.ended = f"nothing heard for {patience.silent_after:.0f} s"
                standing = False
        if standing:
            self._send_acks(connection)
            connection.ended = "dropped on purpose, so that the broker sends again"
        return standing

    def _is_silent(self, connection: Connection) -> bool:
        return (
            connection.last_packet is not None
            and time.monotonic() - connection.last_packet >= self._patience.silent_after
        )

    def _send_acks(self, connection: Connection) -> None:
        while self._acks:
            delivery = self._acks.popleft()
            if delivery.generation == self._generation:
                self._order.is_safe(delivery.mid)
        connection.acknowledge(self._order.ready())

    def _remember_session(self, connection: Connection) -> None:
        """Also what was refused this time: it may have been granted at another."""
        held = self._session.filters - connection.given_up
        self._session.remember(held.union(self._about_us.filters))

    def _arrived(self, message: MQTTMessage) -> None:
        try:
            topic = message.topic
        except UnicodeDecodeError as error:
            self.unreadable += 1
            topic = UNREADABLE_TOPIC + error.object.decode("utf-8", "backslashreplace")
        mid = message.mid if message.qos else 0
        if mid:
            self._order.received(mid, safe=is_canary(topic))
        if is_canary(topic):
            if topic == self._about_us.canary:
                self._canary_back = time.monotonic()
            return
        self.received += 1
        self.redelivered += message.dup
        self._handoff.put(
            Delivery(
                message=Message(
                    topic=topic,
                    payload=bytes(message.payload),
                    received_at=self._arrivals.stamp(self._clock.now()),
                    retained=message.retain,
                ),
                mid=mid,
                generation=self._generation,
                redelivered=message.dup,
            )
        )

    def _wake(self) -> None:
        try:
            self._wake_in.send(b"w")
        except OSError:
            return  # it is full, so the thread is being woken already; or closed
