"""Every quantity can be chosen in every unit that it may be sent in, each once."""

import pytest

from dashboards.views.quantity_words import (
    choice_of,
    quantity_choices,
    quantity_words,
    read_choice,
    unit_words,
)
from devices.reading import Quantity
from devices.units import allowed_units, convert

IN_ALL_UNITS = [
    (quantity, unit) for quantity in Quantity for unit in (allowed_units(quantity) or ("",))
]


@pytest.mark.parametrize(("quantity", "unit"), IN_ALL_UNITS, ids=str)
def test_a_unit_has_a_line_that_means_the_same(quantity: Quantity, unit: str) -> None:
    read = read_choice(choice_of(quantity, unit))
    assert read is not None
    assert read[0] is quantity
    for value in (0.0, 1.0):
        assert convert(value, read[1], quantity) == pytest.approx(convert(value, unit, quantity))


def test_no_line_stands_there_twice() -> None:
    words = [one.words for one in quantity_choices()]
    assert len(words) == len(set(words))
    assert "temperature in °C" in words
    assert "mains, on or off" in words


@pytest.mark.parametrize("value", ["", "temperature", "temperature|furlong", "|Cel", "x|y"])
def test_what_is_no_line_is_nothing(value: str) -> None:
    assert read_choice(value) is None


def test_nothing_suggested_is_nothing_chosen() -> None:
    assert choice_of(None, None) == ""
    assert quantity_words(Quantity.RELATIVE_HUMIDITY) == "relative humidity"
    assert (unit_words(None), unit_words("Cel"), unit_words("furlong")) == ("", "°C", "furlong")
