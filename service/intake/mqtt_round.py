"""Listening to every topic for a while, so that a sender that nobody described can be found.

On a connection of its own, with QoS 0 and a session that ends with it: whatever floods the
broker can hold up no sensor, and nothing is left behind there. ``#`` covers no topic that
begins with ``$`` (OASIS MQTT 5.0, section 4.7.2), such as a broker's own counts.
"""

import logging
import threading
import time
from collections.abc import Callable, Sequence

from paho.mqtt.client import Client, ConnectFlags, MQTTMessage
from paho.mqtt.enums import CallbackAPIVersion, MQTTErrorCode, MQTTProtocolVersion
from paho.mqtt.properties import Properties
from paho.mqtt.reasoncodes import ReasonCode

from devices.formats.decode import MAX_PAYLOAD_BYTES
from service.clock import Clock
from service.intake.broker_address import BrokerAddress
from service.intake.mqtt_connection import let_us_in
from service.intake.mqtt_topics import is_canary, is_own_status, matches
from service.intake.round_book import RoundBook
from service.store.reading_store import Overheard

log = logging.getLogger(__name__)

ROUND_S = 600.0
"""How long a round lasts [s, real time]."""

MOST_A_SECOND = 1000
"""Beyond this many messages in a second we read no further in it; the broker drops the rest."""

_TRIES = 3
_PAUSE_S = 5.0
_ANSWER_WITHIN_S = 5.0
_REASON = "no feed listens to this topic"
_KEPT = f"{_REASON}; the broker had kept it, it may be old"


class MqttRound:
    """One round. Begin it with ``start``; it ends by itself, or with ``stop``.

    Args:
        address: Where the broker is.
        client_id: The name of our listener; the round has one of its own made of it.
        filters: The topic filters of all feeds: what they cover is not for the round.
        clock: Stamps the arrivals.
        ends_at: When it ends [monotonic s].
    """

    def __init__(
        self,
        address: BrokerAddress,
        client_id: str,
        filters: Sequence[str],
        *,
        clock: Clock,
        ends_at: float,
    ) -> None:
        self.ends_at = ends_at
        self.listening = False
        self.trouble = ""
        self._address = address
        self._client_id = f"{client_id}-round"
        self._filters = tuple(filters)
        self._clock = clock
        self._book = RoundBook()
        self._stop = threading.Event()
        self._refused = False
        self._second = 0.0
        self._in_second = 0
        self._thread = threading.Thread(target=self._run, name="mqtt-round", daemon=True)

    def start(self) -> None:
        """Begin. Returns at once."""
        self._thread.start()

    def stop(self) -> None:
        """End it now; what was heard can still be taken."""
        self._stop.set()
        self._thread.join(_ANSWER_WITHIN_S)

    @property
    def over(self) -> bool:
        """Whether it has ended, or could not begin."""
        return not self._thread.is_alive()

    def take(self) -> list[Overheard]:
        """What is to be stored now."""
        return self._book.take_all() if self.over else self._book.take(time.monotonic())

    def _run(self) -> None:
        for _ in range(_TRIES):
            try:
                self._listen()
            except OSError as error:
                self.trouble = str(error) if error.filename else error.strerror or str(error)
            except Exception:
                # Whatever goes wrong in here concerns the round alone.
                log.exception("the round of listening met a fault")
                self.trouble = "a fault in this service, kept in the log"
            self.listening = False
            if self._is_over() or self._refused or self._stop.wait(_PAUSE_S):
                break
        if self.trouble:
            log.warning("listening to every topic: %s", self.trouble)

    def _is_over(self) -> bool:
        return self._stop.is_set() or time.monotonic() >= self.ends_at

    def _listen(self) -> None:
        client = self._new_client()
        let_us_in(client, self._address)
        client.connect(self._address.host, self._address.port, 20)
        self.trouble = ""
        try:
            while not self._is_over() and not self._refused:
                if client.loop(0.5) is not MQTTErrorCode.MQTT_ERR_SUCCESS:
                    self.trouble = self.trouble or "the connection broke"
                    return
        finally:
            client.disconnect()
            client.loop(0.1)

    def _new_client(self) -> Client:
        client = Client(
            CallbackAPIVersion.VERSION2,
            client_id=self._client_id,
            clean_session=True,
            protocol=MQTTProtocolVersion.MQTTv311,
            reconnect_on_failure=False,
        )
        client.connect_timeout = _ANSWER_WITHIN_S
        client.on_connect = self._connected
        client.on_subscribe = self._granted
        client.on_message = self._arrived
        return client

    def _connected(
        self,
        client: Client,
        userdata: object,  # noqa: ARG002
        flags: ConnectFlags,  # noqa: ARG002
        reason: ReasonCode,
        properties: Properties | None,  # noqa: ARG002
    ) -> None:
        if reason.is_failure:
            self._refused = True
            self.trouble = f"the broker refuses us: {str(reason).lower()}"
        else:
            client.subscribe("#", qos=0)

    def _granted(
        self,
        client: Client,  # noqa: ARG002
        userdata: object,  # noqa: ARG002
        mid: int,  # noqa: ARG002
        reasons: list[ReasonCode],
        properties: Properties | None,  # noqa: ARG002
    ) -> None:
        self._refused = any(reason.is_failure for reason in reasons)
        self.listening = not self._refused
        if self._refused:
            self.trouble = "the broker does not let us listen to every topic"

    def _arrived(self, client: Client, userdata: object, message: MQTTMessage) -> None:  # noqa: ARG002
        self._keep_pace()
        try:
            topic = message.topic
        except UnicodeDecodeError:
            return  # nobody could describe it
        if self._is_foreign(topic):
            self._book.note(
                Overheard(
                    topic=topic,
                    payload=bytes(message.payload[:MAX_PAYLOAD_BYTES]),
                    reason=_KEPT if message.retain else _REASON,
                    at=self._clock.now(),
                )
            )

    def _is_foreign(self, topic: str) -> bool:
        """Neither a feed's, nor a sign of life of our own kind, nor the broker's own."""
        if topic.startswith("$") or is_canary(topic) or is_own_status(topic):
            return False
        return not any(matches(name, topic) for name in self._filters)

    def _keep_pace(self) -> None:
        now = time.monotonic()
        if now - self._second >= 1.0:
            self._second, self._in_second = now, 0
        self._in_second += 1
        if self._in_second > MOST_A_SECOND:
            self._stop.wait(self._second + 1.0 - now)


RoundOf = Callable[[float], MqttRound]
"""Makes a round that ends at a monotonic time."""
