"""Which feed a topic belongs to. Pure.

Matching is that of the OASIS MQTT 5.0 standard, section 4.7, as paho-mqtt does it.
"""

from collections.abc import Iterable
from functools import lru_cache

from paho.mqtt.client import topic_matches_sub

from devices.sensor import Feed
from service.intake.delivery import UNREADABLE_TOPIC

CANARIES = "clutchweather/+/canary"
OWN_STATUS = "clutchweather/+/status"
"""Where our own kind of devices keep that they are alive, and the broker that they are not."""

LONGEST_FILTER_BYTES = 65_535


def canary_topic(client_id: str) -> str:
    """Where a listener sends messages to itself, to see that messages still pass."""
    return f"clutchweather/{client_id}/canary"


def is_canary(topic: str) -> bool:
    """Whether the topic carries a listener's own sign of life, ours or another's."""
    return topic.startswith("clutchweather/") and matches(CANARIES, topic)


def is_own_status(topic: str) -> bool:
    """Whether the topic carries the sign of life of a device of our own kind."""
    return topic.startswith("clutchweather/") and matches(OWN_STATUS, topic)


@lru_cache(maxsize=4096)
def matches(topic_filter: str, topic: str) -> bool:
    """Whether a subscription to ``topic_filter`` covers ``topic``.

    Remembered: the same few topics come again and again, and this was a sixth of the walk.
    """
    return topic_matches_sub(topic_filter, topic)


def is_valid_filter(topic_filter: str) -> bool:
    """Whether a broker may be asked for this: ``#`` only as the last level, both whole levels.

    OASIS MQTT 5.0, sections 1.5.4 (text), 4.7.1.2, 4.7.1.3 and 4.7.3. ``$share/…`` (section
    4.8.2) is not: with a shared subscription another client would be given some of the
    messages.
    """
    try:
        length = len(topic_filter.encode())
    except UnicodeEncodeError:  # half a surrogate pair
        return False
    if not 0 < length <= LONGEST_FILTER_BYTES or "\0" in topic_filter:
        return False
    levels = topic_filter.split("/")
    return (
        levels[0] != "$share"
        and all(level == "+" or "+" not in level for level in levels)
        and all("#" not in level for level in levels[:-1])
        and (levels[-1] == "#" or "#" not in levels[-1])
    )


def route(topic: str, feeds: Iterable[Feed]) -> Feed | None:
    """The first feed whose filter covers the topic; None when there is none.

    Canaries and topics that can't be read have no feed, whatever the filters say.
    """
    if topic.startswith(UNREADABLE_TOPIC) or is_canary(topic):
        return None
    return next((feed for feed in feeds if matches(feed.topic, topic)), None)
