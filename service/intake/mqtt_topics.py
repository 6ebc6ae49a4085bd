"""Which feed a topic belongs to. Pure.

Matching is that of the OASIS MQTT 5.0 standard, section 4.7, as paho-mqtt does it.
"""

from collections.abc import Iterable

from paho.mqtt.client import topic_matches_sub

from devices.sensor import Feed
from service.intake.delivery import UNREADABLE_TOPIC

CANARIES = "clutchweather/+/canary"


def canary_topic(client_id: str) -> str:
    """Where a listener sends messages to itself, to see that messages still pass."""
    return f"clutchweather/{client_id}/canary"


def is_canary(topic: str) -> bool:
    """Whether the topic carries a listener's own sign of life, ours or another's."""
    return topic.startswith("clutchweather/") and matches(CANARIES, topic)


def matches(topic_filter: str, topic: str) -> bool:
    """Whether a subscription to ``topic_filter`` covers ``topic``."""
    return topic_matches_sub(topic_filter, topic)


def is_valid_filter(topic_filter: str) -> bool:
    """Whether a broker may be asked for this: ``#`` only as the last level, both whole levels.

    OASIS MQTT 5.0, sections 4.7.1.2, 4.7.1.3 and 4.7.3.
    """
    if not topic_filter or "\0" in topic_filter or len(topic_filter.encode()) > 65535:
        return False
    *earlier, last = topic_filter.split("/")
    return all("#" not in level and _plus_stands_alone(level) for level in earlier) and (
        last == "#" or ("#" not in last and _plus_stands_alone(last))
    )


def _plus_stands_alone(level: str) -> bool:
    return level == "+" or "+" not in level


def route(topic: str, feeds: Iterable[Feed]) -> Feed | None:
    """The first feed whose filter covers the topic; None when there is none.

    Canaries and topics that can't be read have no feed, whatever the filters say.
    """
    if topic.startswith(UNREADABLE_TOPIC) or is_canary(topic):
        return None
    return next((feed for feed in feeds if matches(feed.topic, topic)), None)
