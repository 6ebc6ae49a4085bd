"""Degrees as people write them, and as they are read back to them. Pure.

Understood: ``52.37``, ``52,37``, ``N 52.37``, ``52.37 north``, ``52°22'N``, ``52 22 30 N``,
``-3.7``, ``3°42' W``; and both in one line, as maps give them: ``52.3702, 4.8952``.
"""

import re
from typing import Literal

from service.errors import InputError

Axis = Literal["latitude", "longitude"]

_SIDES = {
    "latitude": {"n": 1, "north": 1, "s": -1, "south": -1},
    "longitude": {"e": 1, "east": 1, "w": -1, "west": -1},
}
_MOST = {"latitude": 90.0, "longitude": 180.0}
_WORDS = {
    "latitude": "degrees north or south, such as 52.37 or 52°22' N, from 90 S to 90 N",
    "longitude": "degrees east or west, such as 4.9 or 4°54' E, from 180 W to 180 E",
}
_SIGNS = str.maketrans(
    {
        "\N{MINUS SIGN}": "-",
        "\N{EN DASH}": "-",
        "\N{PRIME}": "'",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{DOUBLE PRIME}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{MASCULINE ORDINAL INDICATOR}": "°",
        "\N{NO-BREAK SPACE}": " ",
    }
)
_NUMBER = r"\d{1,3}(?:[.,]\d{1,12})?"
_WRITTEN = re.compile(
    rf"(?P<before>[a-z]+)?\s*(?P<sign>[+-])?\s*(?P<degrees>{_NUMBER})\s*°?"
    rf"(?:\s*(?P<minutes>{_NUMBER})\s*'?(?:\s*(?P<seconds>{_NUMBER})\s*(?:\"|'')?)?)?"
    r"\s*(?P<after>[a-z]+)?",
    re.ASCII,
)
_BOTH = re.compile(r"(?P<first>.+?)\s*(?:;|,\s|(?<=[NSns])\s)\s*(?P<second>.+)")


def read_place(north: str, east: str) -> tuple[float, float]:
    """Latitude and longitude in degrees from two fields; the first may hold both.

    Raises:
        InputError: a field is no such number of degrees.
    """
    both = _BOTH.fullmatch(north.strip())
    if both is not None and not east.strip():
        north, east = both["first"], both["second"]
    return read_degrees(north, "latitude"), read_degrees(east, "longitude")


def read_degrees(text: str, axis: Axis) -> float:
    """Degrees, south and west negative.

    Raises:
        InputError: not a number of degrees, two sides at once, or off the globe.
    """
    match = _WRITTEN.fullmatch(text.strip().translate(_SIGNS).lower())
    if match is None:
        raise _not_understood(text, axis)
    side = _side(match, axis)
    if side is None:
        raise _not_understood(text, axis)
    degrees, minutes, seconds = (_number(match[part]) for part in ("degrees", "minutes", "seconds"))
    whole = degrees.is_integer() and (minutes.is_integer() or match["seconds"] is None)
    if match["minutes"] and not whole:
        raise _not_understood(text, axis)
    if minutes >= 60 or seconds >= 60:
        raise _not_understood(text, axis)
    value = degrees + minutes / 60 + seconds / 3600
    if value > _MOST[axis]:
        raise _not_understood(text, axis)
    return side * value + 0.0


def _side(match: re.Match[str], axis: Axis) -> int | None:
    """1, -1, or None where the signs contradict each other or name no side of this axis."""
    named = [word for word in (match["before"], match["after"]) if word]
    signed = match["sign"]
    if len(named) + bool(signed) > 1:
        return None
    if named:
        return _SIDES[axis].get(named[0])
    return -1 if signed == "-" else 1


def _number(text: str | None) -> float:
    return float(text.replace(",", ".")) if text else 0.0


def _not_understood(text: str, axis: Axis) -> InputError:
    shown = text.strip()[:40] or "nothing"
    name = "north or south" if axis == "latitude" else "east or west"
    return InputError(f"Degrees {name}: {shown} is not understood; allowed: {_WORDS[axis]}.")


def degrees_in_words(value: float, axis: Axis) -> str:
    """``52.37° N``: enough digits to find a village, none that nobody measured."""
    sides = "NS" if axis == "latitude" else "EW"
    return f"{abs(value):.2f}° {sides[value < 0]}"


def degrees_to_edit(value: float, axis: Axis) -> str:
    """``52.37 N``, as it may be typed again; at most six digits, so nothing typed is lost."""
    sides = "NS" if axis == "latitude" else "EW"
    digits = f"{abs(value):.6f}".rstrip("0").rstrip(".")
    return f"{digits} {sides[value < 0]}"
