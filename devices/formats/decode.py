"""The door to all payload formats: which one it is, its feed says."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from devices.errors import DecodeError
from devices.formats import json_object, number, senml
from devices.formats.decoded import Decoded
from devices.message import Message
from devices.sensor import Feed, Format

MAX_PAYLOAD_BYTES = 64 * 1024


_DECODERS: Mapping[Format, Callable[[Feed, Message], Decoded]] = MappingProxyType(
    {Format.SENML: senml.decode, Format.NUMBER: number.decode, Format.JSON: json_object.decode}
)


def decode(feed: Feed, message: Message) -> Decoded:
    """Read a message of ``feed``.

    Raises:
        DecodeError: nothing in it could be read; the reason is a sentence. No other error
            comes from here, whatever the bytes. (One that did would be a fault of ours: the
            walk of a reading logs it, instead of its being told here as one of the sender.)
    """
    if len(message.payload) > MAX_PAYLOAD_BYTES:
        raise DecodeError(
            message.topic,
            f"{len(message.payload)} bytes are more than the {MAX_PAYLOAD_BYTES} that are read",
        )
    return _DECODERS[feed.format](feed, message)
