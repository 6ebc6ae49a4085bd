"""What a service is told about the senders."""

import pytest

from devices.reading import Quantity
from devices.sensor import Format
from devices.units import convert
from simulated_feeds.senders.feeds import QUANTITIES, UNITS, feeds_of, measures_of
from simulated_feeds.senders.parameters import SenderKind
from tests.simulated_feeds.senders.made_senders import scale, sender


def test_senders_of_one_format_share_a_feed() -> None:
    assert [feed.topic for feed in feeds_of([sender(), scale()])] == ["clutchweather/+/senml"]


def test_plain_numbers_have_a_feed_for_each_quantity() -> None:
    feeds = feeds_of([sender("plain-1", kind=SenderKind.AIR, format=Format.NUMBER)])
    assert [feed.topic for feed in feeds] == ["plain/plain-1/temperature", "plain/plain-1/humidity"]


def test_only_names_that_are_not_the_quantity_s_own_are_told() -> None:
    assert measures_of(sender()) == {
        "humidity": Quantity.RELATIVE_HUMIDITY,
        "light": Quantity.ILLUMINANCE,
    }
    assert measures_of(scale()) == {"w": Quantity.MASS}
    assert measures_of(sender(format=Format.JSON)) == {}


@pytest.mark.parametrize("measure", sorted(UNITS))
def test_every_unit_is_one_of_its_quantity(measure: str) -> None:
    assert convert(1.0, UNITS[measure], QUANTITIES[measure]) == 1.0
