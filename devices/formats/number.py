"""Plain numbers: the payload is one number in decimal notation, such as ``21.4``.

What it measures and in which unit is stated by the feed, not by the payload.
"""

from devices.errors import DecodeError
from devices.formats.decoded import Decoded
from devices.formats.number_text import MAX_CHARACTERS, number_in, why_no_number
from devices.formats.sender_name import device_of_topic, quoted
from devices.message import Message
from devices.reading import Measurement
from devices.sensor import Feed


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
    value = number_in(text)
    if value is None:
        raise DecodeError(
            message.topic, f"{quoted(text)} is not a plain number{why_no_number(text)}"
        )
    return value
