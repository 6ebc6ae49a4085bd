"""What the names of values usually mean, for suggestions.

Common practice, no source: English words, their usual abbreviations and the names of units, in
lists of our own. Pure.
"""

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from devices.reading import Quantity
from devices.units import UnitError, allowed_units, convert


def _listed(words: str) -> frozenset[str]:
    return frozenset(words.split())


_WORDS: dict[Quantity, frozenset[str]] = {
    Quantity.TEMPERATURE: frozenset(("temperature", "temp", "tmp", "celsius", "fahrenheit", "t")),
    Quantity.RELATIVE_HUMIDITY: frozenset(("humidity", "humid", "hum", "rh", "relhum", "h")),
    Quantity.ILLUMINANCE: frozenset(
        ("illuminance", "illumination", "lux", "lx", "light", "brightness", "lum")
    ),
    Quantity.MASS: frozenset(("mass", "weight", "grams", "gram", "kg", "load")),
    Quantity.PRESSURE: frozenset(
        ("pressure", "press", "barometer", "baro", "hpa", "kpa", "mbar", "p")
    ),
    Quantity.BATTERY: frozenset(("battery", "batt", "bat", "charge", "soc")),
    Quantity.BATTERY_VOLTAGE: frozenset(
        ("voltage", "volt", "volts", "millivolt", "vbat", "vbatt", "vcc", "vdd")
    ),
    Quantity.CO2: frozenset(("co2", "eco2", "carbondioxide")),
    Quantity.MAINS: frozenset(("mains", "grid", "plugged")),
    Quantity.LAMP_POWER: frozenset(("power", "watt", "watts")),
}
_UNITS: dict[str, str] = {
    **dict.fromkeys(("c", "degc", "celsius", "cel", "centigrade", "°c"), "Cel"),
    **dict.fromkeys(("f", "degf", "fahrenheit", "°f"), "degF"),
    **dict.fromkeys(("k", "kelvin"), "K"),
    **dict.fromkeys(("pct", "percent", "perc", "percentage", "%", "%rh"), "%"),
    **dict.fromkeys(("lx", "lux"), "lx"),
    **dict.fromkeys(("g", "gram", "grams"), "g"),
    **dict.fromkeys(("kg", "kilogram", "kilograms"), "kg"),
    **dict.fromkeys(("pa", "pascal"), "Pa"),
    **dict.fromkeys(("hpa",), "hPa"),
    **dict.fromkeys(("mbar", "mb", "millibar"), "mbar"),
    **dict.fromkeys(("kpa",), "kPa"),
    **dict.fromkeys(("v", "volt", "volts"), "V"),
    **dict.fromkeys(("mv", "millivolt", "millivolts"), "mV"),
    **dict.fromkeys(("ppm",), "ppm"),
    **dict.fromkeys(("w", "watt", "watts"), "W"),
    **dict.fromkeys(("kw", "kilowatt"), "kW"),
    **dict.fromkeys(("inhg",), "inHg"),
    **dict.fromkeys(("mmhg",), "mmHg"),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "lb"),
    **dict.fromkeys(("oz", "ounce", "ounces"), "oz"),
    **dict.fromkeys(("dbm",), "dBm"),
}
# Beside one of these a value is no measured one, or one of another thing than the air.
_OTHER_THINGS = _listed(
    "min max minimum maximum avg average mean target setpoint set offset calibration cal "
    "threshold alarm alert limit high low interval dew dewpoint heat index feels soil "
    "water cpu chip board core outdoor forecast delta trend rate count error status "
    "sensitivity"
)
_SIGNAL_WORDS = frozenset(("rssi", "signal", "dbm"))
UNIT_KEYS = frozenset(("unit", "units", "uom"))
TIME_WORDS = _listed("time timestamp ts date datetime at when measured utc epoch seen updated t")
ID_WORDS = _listed(
    "id ident identifier device dev node mac serial sn sensor addr address uid uuid eui "
    "deveui name station"
)
# Levels of a topic that many senders share.
GENERAL_LEVELS = _listed(
    "sensor sensors state status data telemetry json value values measurement "
    "measurements reading readings home house shed gateway devices device events event up "
    "uplink out get mqtt clutchweather"
)

_PIECES = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+|[0-9]+|[%°]+")
_WHOLE = re.compile(
    r"(?<![a-z])(e?co2|degc|degf|hpa|kpa|mbar|dbm|mv|inhg|mmhg|lux|%rh)(?![a-z])", re.IGNORECASE
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """A quantity and a unit that a value may have, and why."""

    quantity: Quantity
    unit: str
    why: str


def words_of(key: str) -> tuple[str, ...]:
    """The words in a key, small: "battTempC" is batt, temp, c."""
    spaced = _WHOLE.sub(lambda found: f" {found[0].lower()} ", key[:80])
    words: list[str] = []
    for part in spaced.split():
        words += [part] if _WHOLE.fullmatch(part) else _PIECES.findall(part)
    return tuple(word.lower() for word in words)


def unit_named(text: str) -> str | None:
    """The unit that a text such as "°F", "percent" or "hPa" names."""
    return _UNITS.get(text.strip().lower())


def meaning_of(path: Sequence[str], value: float, unit_beside: str | None) -> Meaning | None:
    """What a number may be.

    Args:
        path: the keys that lead to it, its own last.
        value: the number.
        unit_beside: a unit that is told beside it, if there is one.
    """
    for depth, key in enumerate(reversed(path)):
        words = words_of(key)
        if _OTHER_THINGS.intersection(words):
            return None
        quantity = _quantity_in(words)
        if quantity is None:
            continue
        unit = unit_beside or _unit_in(words_of(path[-1])) or (_unit_in(words) if depth else None)
        return _meant(quantity, key, value, unit)
    return None


def quantity_in(key: str) -> Quantity | None:
    """The quantity that a key names by itself."""
    return _quantity_in(words_of(key))


def is_on_mains(path: Sequence[str]) -> bool:
    """Whether a yes or no under these keys may tell that there is mains power."""
    return bool(path) and quantity_in(path[-1]) is Quantity.MAINS


def _quantity_in(words: Iterable[str]) -> Quantity | None:
    """The last word counts most: battery voltage is a voltage."""
    told = list(words)
    if _SIGNAL_WORDS.intersection(told):
        return next((one for one in Quantity if one.unit == "dBm"), None)
    for word in reversed(told):
        for quantity, names in _WORDS.items():
            # One letter alone is a name, and beside another word it is more likely a unit.
            if word in names and (len(word) > 1 or len(told) == 1):
                return quantity
    return None


def _unit_in(words: Sequence[str]) -> str | None:
    return next((_UNITS[word] for word in reversed(words) if word in _UNITS), None)


def _meant(quantity: Quantity, key: str, value: float, unit: str | None) -> Meaning | None:
    if quantity is Quantity.BATTERY and unit in ("V", "mV"):
        quantity = Quantity.BATTERY_VOLTAGE
    if unit is not None and unit in allowed_units(quantity):
        try:
            convert(value, unit, quantity)
        except UnitError:
            return None
        return Meaning(quantity=quantity, unit=unit, why=f"“{key}”, told in {unit}")
    guess = _by_range(quantity, value)
    if guess is None:
        return None
    quantity, unit = guess
    return Meaning(quantity=quantity, unit=unit, why=f"“{key}”, and {value:g} may be in {unit}")


# Spans in which a value without a unit is likeliest in that unit, the first that holds.
_SPANS: dict[Quantity, tuple[tuple[float, float, str], ...]] = {
    Quantity.TEMPERATURE: ((-40, 55, "Cel"), (55, 130, "degF"), (230, 330, "K")),
    Quantity.RELATIVE_HUMIDITY: ((1, 100, "%RH"), (0, 0, "%RH"), (0, 1, "/")),
    Quantity.ILLUMINANCE: ((0, 150_000, "lx"),),
    Quantity.MASS: ((-100, 10_000, "g"),),
    Quantity.PRESSURE: ((30, 110, "kPa"), (300, 1100, "hPa"), (30_000, 110_000, "Pa")),
    Quantity.BATTERY: ((0, 0, "%"), (1, 1, "%"), (0, 1, "/"), (5, 100, "%")),
    Quantity.BATTERY_VOLTAGE: ((0, 60, "V"), (1000, 60_000, "mV")),
    Quantity.CO2: ((300, 40_000, "ppm"),),
    Quantity.MAINS: ((0, 0, "0/1"), (1, 1, "0/1")),
    Quantity.LAMP_POWER: ((0, 20_000, "W"),),
}
_SPANS_OF_A_BATTERY = ((1.5, 5, "V"), (1500, 5000, "mV"))
_SPAN_OF_A_SIGNAL = (-130.0, 0.0)


def _by_range(quantity: Quantity, value: float) -> tuple[Quantity, str] | None:
    if not math.isfinite(value):
        return None
    if quantity.unit == "dBm":
        low, high = _SPAN_OF_A_SIGNAL
        return (quantity, "dBm") if low <= value <= high else None
    for low, high, unit in _SPANS[quantity]:
        if low <= value <= high:
            return quantity, unit
    if quantity is Quantity.BATTERY:
        for low, high, unit in _SPANS_OF_A_BATTERY:
            if low <= value <= high:
                return Quantity.BATTERY_VOLTAGE, unit
    return None
