"""Senders that cannot be, told by name, value and what is allowed."""

from datetime import timedelta
from typing import Any

import pytest

from devices.sensor import Format
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.senders.parameters import (
    AirSensorParameters,
    BatteryParameters,
    SenderKind,
    Where,
)
from tests.simulated_feeds.senders.made_senders import scale, sender


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"interval": timedelta(0)}, "interval is 0:00:00; allowed is 0.1 s to 6 h"),
        ({"interval": timedelta(seconds=7)}, "is 0:00:07; allowed is what divides a day evenly"),
        ({"offset": timedelta(minutes=1)}, "offset is 0:01:00; allowed is whole milliseconds"),
        ({"samples_per_message": 0}, "samples_per_message is 0; allowed is 1 to 250 samples"),
        ({"place": "box-1", "where": Where.BOX}, "where of air and light is box; allowed is shed"),
        ({"kind": SenderKind.SCALE}, "where of a scale is shed; allowed is box"),
        ({"kind": SenderKind.MAINS, "on_battery": False}, "on_battery of mains is False"),
        (
            {"format": Format.JSON, "samples_per_message": 2},
            "samples_per_message of json is 2; allowed is 1",
        ),
        ({"reboots_every": timedelta(0)}, "reboots_every is 0:00:00; allowed is 1 s to 1 h"),
        ({"keeps_messages": -1}, "keeps_messages is -1"),
    ],
)
def test_sender_that_cannot_be_is_refused_in_words(wrong: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ImpossibleParameterError) as refused:
        sender(**wrong)
    assert sentence in str(refused.value)


@pytest.mark.parametrize("device", ["", "two words", "a:b", "a/b", "<b>", "x" * 65])
def test_name_that_no_service_would_take_is_refused(device: str) -> None:
    with pytest.raises(ImpossibleParameterError, match="device is"):
        sender(device)


def test_accuracy_below_nothing_is_refused() -> None:
    with pytest.raises(ImpossibleParameterError, match="humidity_accuracy_pct"):
        AirSensorParameters(humidity_accuracy_pct=-0.1)


def test_battery_that_is_never_changed_is_refused() -> None:
    with pytest.raises(ImpossibleParameterError, match="least_pct"):
        BatteryParameters(least_pct=60.0)


def test_scale_speaks_at_its_interval_times_its_samples() -> None:
    assert scale().message_interval == timedelta(minutes=1)


def test_only_our_own_senders_have_a_status() -> None:
    assert sender().status_topic == "clutchweather/th-shed/status"
    assert sender(format=Format.JSON).status_topic is None
