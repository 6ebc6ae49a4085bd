"""Names of senders and of what they measure: which are allowed, and where they are found.

The characters are those that RFC 8428, section 4.5.1, allows in a resolved name; the same
rule holds for names that come from a topic, so that no markup can call itself a sensor.
"""

import re
from functools import lru_cache

from devices.errors import DecodeError
from devices.message import Message
from devices.sensor import Feed

MAX_LENGTH = 64
_ALLOWED = re.compile(r"[A-Za-z0-9][A-Za-z0-9\-:._/]*")


def quoted(text: object, limit: int = 60) -> str:
    """``text`` as it may stand in a sentence: cut, and without what can't be printed."""
    told = repr(text)
    return told if len(told) <= limit else f"{told[:limit]}…"


def name_fault(name: str) -> str | None:
    """Why ``name`` can't be a name, in words; None when it can."""
    if len(name) > MAX_LENGTH:
        return f"the name {quoted(name)} is longer than {MAX_LENGTH} characters"
    if not _ALLOWED.fullmatch(name):
        return (
            f"the name {quoted(name)} is not made of letters, digits and - : . _ /, "
            "beginning with a letter or digit"
        )
    return None


def device_of_topic(feed: Feed, message: Message) -> str:
    """The device that a message of ``feed`` is from, when the payload does not say.

    It is the feed's own ``device_name``, else the topic level ``device_level``, else the
    level where the feed's topic has its first ``+``.

    Raises:
        DecodeError: the feed names no level, the topic is too short, or what stands there
            can't be a name.
    """
    device, fault = _find_device(feed.device_name, feed.device_level, feed.topic, message.topic)
    if fault is not None:
        raise DecodeError(message.topic, fault)
    return device


@lru_cache(maxsize=1024)
def _find_device(
    name: str | None, level: int | None, feed_topic: str, topic: str
) -> tuple[str, str | None]:
    """The device, or a fault in words; remembered for each topic, as topics repeat."""
    if name is not None:
        return name, None
    if level is None:
        levels = feed_topic.split("/")
        if "+" not in levels:
            return "", f"nothing says which device it is from: the feed {feed_topic} names none"
        level = levels.index("+") + 1
    spoken = topic.split("/")
    if not 1 <= level <= len(spoken):
        return "", f"the topic has no level {level} to tell the device"
    device = spoken[level - 1]
    fault = name_fault(device)
    return device, fault and f"in the topic, {fault}"
