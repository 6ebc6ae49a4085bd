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
    device = device_of_topic(feed, message)
    value = _read(message, device)
    measurement = Measurement(
        device=device,
        measure=feed.quantity.value,
        value=value,
        unit=feed.unit,
        measured_at=None,
    )
    alone = frozenset((device,))
    return Decoded(measurements=(measurement,), devices=alone, senders=alone)


def _read(message: Message, device: str) -> float:
    try:
        text = message.payload.decode("utf-8").strip()
    except UnicodeDecodeError as error:
        reason = "the payload is not UTF-8 text"
        raise DecodeError(message.topic, reason, device=device) from error
    if not text:
        reason = "the payload is empty, where a number should be"
    elif len(text) > MAX_CHARACTERS:
        reason = f"{quoted(text)} is longer than a number's {MAX_CHARACTERS} characters"
    elif (value := number_in(text)) is not None:
        return value
    else:
        reason = f"{quoted(text)} is not a plain number{why_no_number(text)}"
    raise DecodeError(message.topic, reason, device=device)
