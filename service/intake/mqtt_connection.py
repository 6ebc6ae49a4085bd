"""One connection to a broker, from the first packet to the last, on paho-mqtt.

Each connection has a paho client of its own and is driven by one thread that calls ``step``.
So an acknowledgement can't stray into a later connection by way of the library, and paho's
own thread, which an exception in a callback ends for good, is not used at all. A session
is kept by the broker, not by the client object: MQTT 5 with Clean Start 0 and a Session
Expiry Interval, MQTT 3.1.1 with Clean Session 0 (OASIS MQTT 5.0, sections 3.1.2.4 and
3.1.2.11.2; MQTT 3.1.1, section 3.1.2.4).
"""

import select
import socket
import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass

from paho.mqtt.client import Client, ConnectFlags, DisconnectFlags, MQTTMessage
from paho.mqtt.enums import CallbackAPIVersion, MQTTErrorCode, MQTTProtocolVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode
from paho.mqtt.subscribeoptions import SubscribeOptions

from service.errors import BrokerRefusedError
from service.intake.broker_address import BrokerAddress
from service.intake.liveness import Patience

SESSION_KEPT_S = 7 * 24 * 3600
LARGEST_PACKET = 256 * 1024
WINDOW_OF_OLD_BROKERS = 20
"""How many messages a broker may send unanswered where MQTT 3.1.1 gives no way to tell it:
the smallest usual default."""

_VERSION_REFUSED = frozenset({1, 0x81, 0x82, 0x84})
_READS_IN_A_ROW = 64
_FAILURE = 0x80


class VersionRefusedError(BrokerRefusedError):
    """The broker does not speak this version of MQTT, or gave no answer to it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Introduction:
    """What a connection tells the broker about us.

    ``receive_maximum`` is how many messages the broker may send ahead of our answers.
    """

    address: BrokerAddress
    client_id: str
    filters: tuple[str, ...]
    canary: str
    receive_maximum: int
    patience: Patience


class Connection:
    """One client of one broker.

    Args:
        about_us: Who we are and what we want.
        version: The protocol version to speak.
        on_message: Called in ``step`` for each message; must not raise.
        wake: A socket that becomes readable when ``step`` shall return early.
    """

    def __init__(
        self,
        about_us: Introduction,
        version: MQTTProtocolVersion,
        on_message: Callable[[MQTTMessage], None],
        wake: socket.socket,
    ) -> None:
        self.session_present = False
        self.refused: dict[str, str] = {}
        self.subscribed = False
        self.given_up: set[str] = set()
        self.unreadable = False
        self.ended: str | None = None
        self.last_packet: float | None = None
        self._about_us = about_us
        self._version = version
        self._on_message = on_message
        self._wake = wake
        self._messages = 0
        self._asked: dict[int, tuple[str, ...]] = {}
        self._leaving: dict[int, tuple[str, ...]] = {}
        self._answer: ReasonCode | None = None
        self._client = self._new_client()

    @property
    def window(self) -> int:
        """How many messages the broker sends before it waits for an answer."""
        return self._about_us.receive_maximum if self._is_5 else WINDOW_OF_OLD_BROKERS

    @property
    def version_name(self) -> str:
        """As people write it."""
        return "MQTT 5" if self._is_5 else "MQTT 3.1.1"

    @property
    def _is_5(self) -> bool:
        return self._version is MQTTProtocolVersion.MQTTv5

    def open(self, may_go_on: Callable[[], bool]) -> None:
        """Connect, and wait until the broker has let us in.

        Raises:
            OSError: there is no way to the broker.
            VersionRefusedError: the broker does not speak this version, or did not answer.
            BrokerRefusedError: the broker said no; the message tells why.
        """
        address = self._about_us.address
        let_us_in(self._client, address)
        if self._is_5:
            self._client.connect(
                address.host,
                address.port,
                self._about_us.patience.keep_alive,
                clean_start=False,
                properties=self._connect_properties(),
            )
        else:
            self._client.connect(address.host, address.port, self._about_us.patience.keep_alive)
        until = time.monotonic() + self._about_us.patience.answer_within
        while self._answer is None and may_go_on():
            left = until - time.monotonic()
            if left <= 0 or not self.step(min(left, 0.5), lambda: True):
                break
        self._heed_the_answer(may_go_on)

    def subscribe(self) -> None:
        """Ask for the messages of all feeds; ``refused`` tells later what was not granted."""
        self._subscribe((*self._about_us.filters, self._about_us.canary))

    def subscribe_what_is_missing(self) -> None:
        """Ask again for what was refused or never answered."""
        if not self.subscribed:
            self.subscribe()
        elif self.refused:
            self._subscribe(tuple(self.refused))

    def _subscribe(self, asked: tuple[str, ...]) -> None:
        levels = [(name, 0 if name == self._about_us.canary else 1) for name in asked]
        if self._is_5:
            options = [(name, SubscribeOptions(qos=qos)) for name, qos in levels]
            _, mid = self._client.subscribe(options)
        else:
            _, mid = self._client.subscribe(levels)
        if mid is not None:
            self._asked[mid] = asked

    def unsubscribe(self, filters: Collection[str]) -> None:
        """Want these no more; ``given_up`` tells later which the broker has let go of."""
        if not filters:
            return
        _, mid = self._client.unsubscribe(sorted(filters))
        if mid is not None:
            self._leaving[mid] = tuple(sorted(filters))

    def send_canary(self, payload: bytes) -> None:
        """Send a message to ourselves."""
        self._client.publish(self._about_us.canary, payload, qos=0)

    def acknowledge(self, mids: Sequence[int]) -> None:
        """Tell the broker that these messages are safe, in this order."""
        for mid in mids:
            self._client.ack(mid, qos=1)

    def step(self, timeout: float, may_read: Callable[[], bool]) -> bool:
        """Wait for traffic and do what is due; return whether the connection still stands.

        ``may_read`` is asked before each packet: while it says no, nothing is taken from the
        broker, which then holds what it has.
        """
        sock = self._client.socket()
        if sock is None:
            return False
        reading = may_read()
        ready = self._wait(sock.fileno(), 0.0 if _bytes_wait_inside(sock) else timeout, reading)
        if self._wake.fileno() in ready:
            _drain(self._wake)
        if reading and (sock.fileno() in ready or _bytes_wait_inside(sock)):
            self._read(may_read)
        if self._client.want_write():
            self._client.loop_write()
        self._client.loop_misc()
        return self._client.socket() is not None

    def close(self) -> None:
        """Say goodbye if the way is free, and let go. The broker keeps the session."""
        self.ended = self.ended or "closed"
        if self._client.socket() is not None:
            self._client.disconnect()
        sock = self._client.socket()
        if sock is not None:
            sock.close()

    def _wait(self, sock: int, timeout: float, reading: bool) -> list[int]:
        """Descriptors that can be read, as soon as one can or there is room to write."""
        readers = [self._wake.fileno(), sock] if reading else [self._wake.fileno()]
        writers = [sock] if self._client.want_write() else []
        return select.select(readers, writers, [], timeout)[0]

    def _new_client(self) -> Client:
        client = Client(
            CallbackAPIVersion.VERSION2,
            client_id=self._about_us.client_id,
            clean_session=None if self._is_5 else False,
            protocol=self._version,
            reconnect_on_failure=False,
            manual_ack=True,
        )
        client.connect_timeout = self._about_us.patience.answer_within
        client.on_connect = self._connected
        client.on_disconnect = self._disconnected
        client.on_subscribe = self._granted
        client.on_unsubscribe = self._let_go
        client.on_message = self._arrived
        return client

    def _connect_properties(self) -> Properties:
        properties = Properties(PacketTypes.CONNECT)  # type: ignore[no-untyped-call]
        properties.SessionExpiryInterval = SESSION_KEPT_S
        properties.ReceiveMaximum = self._about_us.receive_maximum
        properties.MaximumPacketSize = LARGEST_PACKET
        return properties

    def _heed_the_answer(self, may_go_on: Callable[[], bool]) -> None:
        if self._answer is None:
            if not may_go_on():
                raise BrokerRefusedError("stopped while waiting for the broker's answer")
            raise VersionRefusedError(f"no answer to {self.version_name}")
        if self._answer.is_failure:
            kind = (
                VersionRefusedError
                if self._is_5 and self._answer.value in _VERSION_REFUSED
                else BrokerRefusedError
            )
            raise kind(f"the broker refuses us: {_in_words(self._answer)}")

    def _read(self, may_read: Callable[[], bool]) -> None:
        """Read packets while there are any, up to a number, so that acks get their turn."""
        for _ in range(_READS_IN_A_ROW):
            before = self._messages
            answer = self._client.loop_read()
            if answer is not MQTTErrorCode.MQTT_ERR_SUCCESS:
                self.unreadable = answer is MQTTErrorCode.MQTT_ERR_PROTOCOL
                return
            self.last_packet = time.monotonic()
            if self._messages == before or not may_read():
                return

    def _connected(
        self,
        client: Client,  # noqa: ARG002
        userdata: object,  # noqa: ARG002
        flags: ConnectFlags,
        reason: ReasonCode,
        properties: Properties | None,  # noqa: ARG002
    ) -> None:
        self.session_present = flags.session_present
        self._answer = reason

    def _disconnected(
        self,
        client: Client,  # noqa: ARG002
        userdata: object,  # noqa: ARG002
        flags: DisconnectFlags,
        reason: ReasonCode,
        properties: Properties | None,  # noqa: ARG002
    ) -> None:
        if self.ended is None:
            by = "the broker ended the connection" if flags.is_disconnect_packet_from_server else ""
            self.ended = f"{by or 'the connection broke'}: {_in_words(reason)}"

    def _granted(
        self,
        client: Client,  # noqa: ARG002
        userdata: object,  # noqa: ARG002
        mid: int,
        reasons: list[ReasonCode],
        properties: Properties | None,  # noqa: ARG002
    ) -> None:
        for name, reason in zip(self._asked.pop(mid, ()), reasons, strict=False):
            if reason.value >= _FAILURE:
                self.refused[name] = _in_words(reason)
            else:
                self.refused.pop(name, None)
        self.subscribed = True

    def _let_go(
        self,
        client: Client,  # noqa: ARG002
        userdata: object,  # noqa: ARG002
        mid: int,
        reasons: list[ReasonCode],
        properties: Properties | None,  # noqa: ARG002
    ) -> None:
        """MQTT 3.1.1 gives no reasons: there it always lets go."""
        left = self._leaving.pop(mid, ())
        kept = {
            name for name, reason in zip(left, reasons, strict=False) if reason.value >= _FAILURE
        }
        self.given_up.update(name for name in left if name not in kept)

    def _arrived(self, client: Client, userdata: object, message: MQTTMessage) -> None:  # noqa: ARG002
        self._messages += 1
        self._on_message(message)


def let_us_in(client: Client, address: BrokerAddress) -> None:
    """Give a client name, password and trust. The password is read now, so that a mended file
    counts at the next try.

    Raises:
        OSError: the file of the password, or of the trust, can't be read.
    """
    if address.username is not None:
        file = address.password_file
        password = None if file is None else file.read_text().strip()
        client.username_pw_set(address.username, password)
    if address.tls:
        client.tls_set(ca_certs=str(address.ca_file) if address.ca_file else None)


def _in_words(reason: ReasonCode) -> str:
    return str(reason).lower()


def _bytes_wait_inside(sock: object) -> bool:
    """Whether TLS has unpacked bytes that ``select`` can't see."""
    pending = getattr(sock, "pending", None)
    return pending is not None and pending() > 0


def _drain(wake: socket.socket) -> None:
    try:
        while wake.recv(4096):
            pass
    except BlockingIOError:
        return
