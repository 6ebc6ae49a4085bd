"""Topic matching: the examples of OASIS MQTT 5.0 (7 March 2019), sections 4.7.1 and 4.7.2."""

import pytest

from devices.sensor import Feed, Format
from service.intake.delivery import UNREADABLE_TOPIC
from service.intake.mqtt_topics import canary_topic, is_valid_filter, matches, route


# Sections 4.7.1.2 (multi-level wildcard) and 4.7.1.3 (single-level wildcard).
@pytest.mark.parametrize(
    ("topic_filter", "topic", "covered"),
    [
        ("sport/tennis/player1/#", "sport/tennis/player1", True),
        ("sport/tennis/player1/#", "sport/tennis/player1/ranking", True),
        ("sport/tennis/player1/#", "sport/tennis/player1/score/wimbledon", True),
        ("sport/#", "sport", True),
        ("sport/tennis/+", "sport/tennis/player1", True),
        ("sport/tennis/+", "sport/tennis/player2", True),
        ("sport/tennis/+", "sport/tennis/player1/ranking", False),
        ("sport/+", "sport", False),
        ("sport/+", "sport/", True),
        ("+/+", "/finance", True),
        ("/+", "/finance", True),
        ("+", "/finance", False),
    ],
)
def test_a_filter_covers_what_the_standard_says(
    topic_filter: str, topic: str, covered: bool
) -> None:
    assert matches(topic_filter, topic) is covered


# Section 4.7.2 (topics beginning with $).
@pytest.mark.parametrize(
    ("topic_filter", "topic", "covered"),
    [
        ("#", "$SYS/broker/uptime", False),
        ("+/monitor/Clients", "$SYS/monitor/Clients", False),
        ("$SYS/#", "$SYS/broker/uptime", True),
        ("$SYS/monitor/+", "$SYS/monitor/Clients", True),
    ],
)
def test_a_wildcard_at_the_front_covers_no_topic_of_the_broker(
    topic_filter: str, topic: str, covered: bool
) -> None:
    assert matches(topic_filter, topic) is covered


# Sections 4.7.1.2 and 4.7.1.3: what is called valid and not valid there; 1.5.4 and 4.7.3.
@pytest.mark.parametrize(
    ("topic_filter", "valid"),
    [
        ("#", True),
        ("sport/tennis/#", True),
        ("sport/tennis#", False),
        ("sport/tennis/#/ranking", False),
        ("+", True),
        ("+/tennis/#", True),
        ("sport+", False),
        ("sport/+/player1", True),
        ("", False),
        ("sport\0", False),
        ("a" * 65_535, True),
        ("a" * 65_536, False),
        ("sport/\ud800", False),
        ("$SYS/#", True),
        ("$share/shed/sport/#", False),  # section 4.8.2: a shared subscription
    ],
)
def test_a_filter_is_valid_as_the_standard_says(topic_filter: str, valid: bool) -> None:
    assert is_valid_filter(topic_filter) is valid


FEEDS = (
    Feed(topic="clutchweather/+/senml", format=Format.SENML),
    Feed(topic="plain/lamp", format=Format.NUMBER, device_name="lamp-eye"),
    Feed(topic="#", format=Format.NUMBER, device_name="rest"),
)


@pytest.mark.parametrize(
    ("topic", "feed"),
    [
        ("clutchweather/th-shed/senml", FEEDS[0]),
        ("plain/lamp", FEEDS[1]),
        ("anything/else", FEEDS[2]),
    ],
)
def test_a_topic_belongs_to_the_first_feed_that_covers_it(topic: str, feed: Feed) -> None:
    assert route(topic, FEEDS) is feed


@pytest.mark.parametrize(
    "topic", [canary_topic("clutchweather-1"), UNREADABLE_TOPIC + "plain/lamp", "$SYS/uptime"]
)
def test_canaries_unreadable_topics_and_the_brokers_own_have_no_feed(topic: str) -> None:
    assert route(topic, FEEDS) is None


def test_a_topic_that_no_feed_covers_has_none() -> None:
    assert route("anything/else", FEEDS[:2]) is None
