"""The answers of a calibration, as they were typed. Pure."""

import math
from collections.abc import Mapping
from datetime import UTC, datetime

from dashboards.views.quantity_words import quantity_words
from devices.formats.number_text import number_in
from devices.reading import Quantity
from service.climate.salts import RANGE_C, Salt
from service.errors import InputError
from service.quality.calibrating import CALIBRATED, Point

Told = Mapping[str, str]


def typed_number(text: str) -> float | None:
    """``20.5``, ``20,5`` or one with a true minus sign; None for anything else."""
    return number_in(text.strip().replace("\N{MINUS SIGN}", "-").replace(",", "."))


def read_quantity(told: Told) -> Quantity:
    """What is calibrated.

    Raises:
        InputError: it is none that can be.
    """
    for quantity in CALIBRATED:
        if told.get("quantity") == quantity.value:
            return quantity
    words = ", ".join(quantity_words(one) for one in CALIBRATED)
    raise InputError(f"Choose what to calibrate: {words}.")


def read_instant(text: str) -> datetime | None:
    """When the value that stood on the page was measured; None for anything else."""
    try:
        found = datetime.fromisoformat(text)
        return found.astimezone(UTC) if found.tzinfo is not None else None
    except (ValueError, OverflowError):
        return None


def read_reference(told: Told, quantity: Quantity) -> float:
    """What the reference says.

    Raises:
        InputError: no number, or none that the quantity can have.
    """
    return _value(told, "reference", "What the reference says", quantity)


def read_points(told: Told, quantity: Quantity) -> tuple[Point, Point]:
    """Both points.

    Raises:
        InputError: a number is missing, or can't be.
    """
    return (
        Point(
            raw=_value(told, "first_raw", "What the sensor read first", quantity),
            reference=_value(told, "first_reference", "What the reference said first", quantity),
        ),
        Point(
            raw=_value(told, "second_raw", "What the sensor read then", quantity),
            reference=_value(told, "second_reference", "What the reference said then", quantity),
        ),
    )


def read_salt(told: Told) -> Salt:
    """The salt in the jar.

    Raises:
        InputError: none was chosen.
    """
    for salt in Salt:
        if told.get("salt") == salt.value:
            return salt
    raise InputError(f"Choose the salt that is in the jar: {', '.join(Salt)}.")


def read_warmth(text: str) -> float | None:
    """The temperature that was typed for a sensor that tells none; None where none was.

    Raises:
        InputError: no number, or one at which no salt is a reference.
    """
    if not text.strip():
        return None
    low, high = RANGE_C
    found = typed_number(text)
    if found is None or not low <= found <= high:
        raise InputError(
            f"Temperature beside the jar: {_shown(text)}; allowed: {low:g} to {high:g} °C."
        )
    return found


_LARGEST = 1e6


def _value(told: Told, field: str, what: str, quantity: Quantity) -> float:
    text = told.get(field, "")
    found = typed_number(text)
    low, high = _SPANS.get(quantity, (-_LARGEST, _LARGEST))
    if found is None or not math.isfinite(found) or not low <= found <= high:
        raise InputError(
            f"{what}: {_shown(text)}; allowed: a number from {low:g} to {high:g} {quantity.unit}."
        )
    return found


_SPANS = {
    Quantity.TEMPERATURE: (-55.0, 125.0),
    Quantity.RELATIVE_HUMIDITY: (-15.0, 115.0),
    Quantity.MASS: (-5_000.0, 50_000.0),
}
"""Raw values may lie a little outside what can be."""


def _shown(text: str) -> str:
    return text.strip()[:30] or "nothing was typed"
