"""Looks whether a broker answers at an address, as our listener would be answered.

MQTT 5 first, MQTT 3.1.1 where that is refused or gets no answer, without a name and a
password unless some are given. Nothing is left behind at the broker: the session ends with
the connection.
"""

import secrets
import time
from dataclasses import dataclass
from enum import StrEnum

from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion, MQTTErrorCode, MQTTProtocolVersion
from paho.mqtt.reasoncodes import ReasonCode

ANSWERS_WITHIN_S = 5.0
_NOT_LET_IN = frozenset({0x86, 0x87, 0x8C})  # OASIS MQTT 5.0, section 3.2.2.2; as paho maps 3.1.1


class Answer(StrEnum):
    """What stands at an address."""

    LETS_US_IN = "lets us in"
    WANTS_A_PASSWORD = "wants a password"  # noqa: S105 - no password
    REFUSES = "refuses"
    NO_BROKER = "no broker"
    NOBODY = "nobody"


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """``words`` are the broker's own where it refuses, else empty."""

    answer: Answer
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Login:
    """A name and its password."""

    name: str
    password: str


def look_for_broker(
    host: str, port: int, login: Login | None = None, within_s: float = ANSWERS_WITHIN_S
) -> Found:
    """Connect, hear the answer, and leave."""
    found = Found(answer=Answer.NOBODY)
    for version in (MQTTProtocolVersion.MQTTv5, MQTTProtocolVersion.MQTTv311):
        found = _ask(host, port, version, login, within_s)
        if found.answer not in {Answer.REFUSES, Answer.NO_BROKER}:
            return found
    return found


def _ask(
    host: str, port: int, version: MQTTProtocolVersion, login: Login | None, within_s: float
) -> Found:
    answers: list[ReasonCode] = []
    client = Client(
        CallbackAPIVersion.VERSION2,
        client_id=f"clutchweather-looks-{secrets.token_hex(2)}",
        protocol=version,
        reconnect_on_failure=False,
    )
    client.on_connect = lambda _client, _data, _flags, reason, _properties: answers.append(reason)
    client.connect_timeout = within_s
    if login is not None:
        client.username_pw_set(login.name, login.password)
    try:
        client.connect(host, port, keepalive=10)
    except OSError:
        return Found(answer=Answer.NOBODY)
    until = time.monotonic() + within_s
    while not answers and time.monotonic() < until:
        if client.loop(0.2) is not MQTTErrorCode.MQTT_ERR_SUCCESS:
            break
    client.disconnect()
    return _meaning(answers[0]) if answers else Found(answer=Answer.NO_BROKER)


def _meaning(reason: ReasonCode) -> Found:
    if not reason.is_failure:
        return Found(answer=Answer.LETS_US_IN)
    words = str(reason).lower()
    if reason.value in _NOT_LET_IN:
        return Found(answer=Answer.WANTS_A_PASSWORD, words=words)
    return Found(answer=Answer.REFUSES, words=words)
