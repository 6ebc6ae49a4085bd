"""Quantities and units as people read them, and as a choice in a form. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass

from devices.reading import Quantity
from devices.units import allowed_units

_UNIT_WORDS: Mapping[str, str] = {
    "Cel": "°C",
    "degC": "°C",
    "C": "°C",
    "degF": "°F",
    "F": "°F",
    "%RH": "%",
    "%EL": "%",
    "/": "0 to 1",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityChoice:
    """One line to choose: ``temperature|degF`` is "temperature in °F"."""

    value: str
    words: str


def quantity_words(quantity: Quantity) -> str:
    """``relative humidity``."""
    return quantity.value.replace("_", " ")


def unit_words(unit: str | None) -> str:
    """``°C`` for ``Cel``; a unit that we don't know as it was sent."""
    return "" if unit is None else _UNIT_WORDS.get(unit, unit)


def quantity_choices() -> tuple[QuantityChoice, ...]:
    """Every quantity in every unit, each once however many names the unit has."""
    found: dict[str, QuantityChoice] = {}
    for quantity in Quantity:
        for unit in allowed_units(quantity) or ("",):
            words = _words(quantity, unit)
            found.setdefault(words, QuantityChoice(value=f"{quantity}|{unit}", words=words))
    return tuple(found.values())


def choice_of(quantity: Quantity | None, unit: str | None) -> str:
    """The value of the line that means this; empty for nothing."""
    if quantity is None:
        return ""
    words = _words(quantity, unit or "")
    return next((one.value for one in quantity_choices() if one.words == words), "")


def read_choice(value: str) -> tuple[Quantity, str] | None:
    """The quantity and unit of a line; None for none of them."""
    known = {one.value for one in quantity_choices()}
    if value not in known:
        return None
    quantity, _, unit = value.partition("|")
    return Quantity(quantity), unit


def _words(quantity: Quantity, unit: str) -> str:
    if quantity is Quantity.MAINS:
        return "mains, on or off"
    told = unit_words(unit)
    return f"{quantity_words(quantity)} in {told}" if told else quantity_words(quantity)
