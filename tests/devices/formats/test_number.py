"""Plain numbers: what is one, and what is refused in words."""

from datetime import UTC, datetime

import pytest

from devices.errors import DecodeError
from devices.formats.decode import decode
from devices.formats.decoded import Decoded
from devices.message import Message
from devices.reading import Measurement, Quantity
from devices.sensor import Feed, Format

NOW = datetime(2026, 3, 1, 21, 0, tzinfo=UTC)


def feed(**told: object) -> Feed:
    said: dict[str, object] = {
        "topic": "plain/lamp",
        "format": Format.NUMBER,
        "device_name": "lamp-eye",
        "quantity": Quantity.ILLUMINANCE,
        "unit": "lx",
    }
    return Feed(**(said | told))  # type: ignore[arg-type]


def message(topic: str = "plain/lamp") -> Message:
    return Message(topic=topic, payload=b"180.5\n", received_at=NOW)


def test_number_is_a_measurement_of_what_the_feed_states() -> None:
    assert decode(feed(), message()) == Decoded(
        measurements=(
            Measurement(
                device="lamp-eye", measure="illuminance", value=180.5, unit="lx", measured_at=None
            ),
        ),
        devices=frozenset({"lamp-eye"}),
        senders=frozenset({"lamp-eye"}),
    )


def test_device_is_the_stated_level_of_the_topic() -> None:
    decoded = decode(
        feed(topic="house/+/+", device_name=None, device_level=3), message("house/lamps/eye-2")
    )
    assert decoded.measurements[0].device == "eye-2"


def test_device_is_the_open_level_when_no_level_is_stated() -> None:
    decoded = decode(feed(topic="house/+/lux", device_name=None), message("house/eye-3/lux"))
    assert decoded.measurements[0].device == "eye-3"


@pytest.mark.parametrize(
    ("told", "topic", "reason"),
    [
        ({"quantity": None}, "plain/lamp", "does not say what"),
        ({"device_name": None}, "plain/lamp", "nothing says which device"),
        ({"device_name": None, "device_level": 3}, "plain/lamp", "no level 3"),
        ({"device_name": None, "topic": "plain/+"}, "plain/<i>", "in the topic"),
        ({"device_name": None, "topic": "plain/+"}, "plain/", "in the topic"),
        ({"device_name": None, "topic": "plain/+"}, "plain/" + "e" * 65, "longer than 64"),
    ],
)
def test_feed_that_does_not_tell_enough_is_refused_in_words(
    told: dict[str, object], topic: str, reason: str
) -> None:
    with pytest.raises(DecodeError, match=reason):
        decode(feed(**told), message(topic))
