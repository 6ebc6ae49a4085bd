"""Plain numbers: the payload is one number in decimal notation, such as ``21.4``.

What it measures and in which unit is stated by the feed, not by the payload.
"""

import math
import re

from devices.errors import DecodeError
from devices.formats.decoded import Decoded
from devices.formats.sender_name import device_of_topic, quoted
from devices.message import Message
from devices.reading import Measurement
from devices.sensor import Feed

MAX_CHARACTERS = 64
_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?")
_BEGINS_AS_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]*)?\s*\D")


def decode(feed: Feed, message: Message) -> Decoded:
    """Read one number. It carries no time.

    Raises:
        DecodeError: it is no finite number, or the feed does not say of what or from whom.
    """
    if feed.quantity is None:
        raise DecodeError(message.topic, "the feed does not say what the number measures")
    value = _read(message)
    device = device_of_topic(feed, message)
    measurement = Measurement(
        device=device,
        measure=feed.quantity.value,
        value=value,
        unit=feed.unit,
        measured_at=None,
    )
    return Decoded(measurements=(measurement,), devices=frozenset((device,)))


def _read(message: Message) -> float:
    try:
        text = message.payload.decode("utf-8").strip()
    except UnicodeDecodeError as error:
        raise DecodeError(message.topic, "the payload is not UTF-8 text") from error
    if not text:
        raise DecodeError(message.topic, "the payload is empty, where a number should be")
    if len(text) > MAX_CHARACTERS:
        raise DecodeError(
            message.topic, f"{quoted(text)} is longer than a number's {MAX_CHARACTERS} characters"
        )
    if not _NUMBER.fullmatch(text):
        raise DecodeError(message.topic, f"{quoted(text)} is not a plain number{_hint(text)}")
    value = float(text)
    if not math.isfinite(value):
        raise DecodeError(message.topic, f"{quoted(text)} is too large for a number")
    return value


def _hint(text: str) -> str:
    if "," in text:
        return ": it has a comma, where a point should be"
    if _BEGINS_AS_NUMBER.match(text):
        return ": something follows the digits (the unit is stated by the feed)"
    return ""
