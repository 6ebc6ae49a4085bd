"""Refusal of a parameter that no shed could have: named, with its value and what is allowed.

A parameter's range stands in its field, beside value and unit::

    latitude: float = allowed(-90.0, 90.0, "°", default=52.0)

and the class's ``__post_init__`` calls ``refuse_impossible(self)``. Numbers with a range are
judged, None only where it is not the preset value; other fields are the class's own business.
Pure.
"""

import math
from dataclasses import MISSING, dataclass, field, fields
from datetime import date, time
from typing import Any

from devices.errors import ClutchweatherError

_KEY = "allowed"
_LONGEST_SHOWN = 80


class ImpossibleParameterError(ClutchweatherError, ValueError):
    """A parameter has a value that cannot be.

    The message is a sentence for the one who wrote the scenario; ``parameter``, ``value`` and
    ``allowed`` are the same facts apart.
    """

    def __init__(self, parameter: str, value: object, allowed: str) -> None:
        told = _shortened(str(value))
        super().__init__(f"{_shortened(parameter)} is {told}; allowed is {allowed}")
        self.parameter = parameter
        self.value = value
        self.allowed = allowed


def shown(value: object) -> str:
    """A value as it stands in a sentence: quoted where it is text, and never long."""
    return _shortened(str(value) if isinstance(value, date | time) else repr(value))


def _shortened(text: str) -> str:
    return text if len(text) <= _LONGEST_SHOWN else f"{text[:_LONGEST_SHOWN]}…"


@dataclass(frozen=True, slots=True)
class Span:
    """All numbers from ``least`` to ``most``, both among them, in ``unit`` ("" for shares)."""

    least: float
    most: float
    unit: str = ""

    def __str__(self) -> str:
        return f"{self.least:g} to {self.most:g} {self.unit}".rstrip()

    def holds(self, value: float) -> bool:
        """Whether a number lies within; one that is not finite never does."""
        return math.isfinite(value) and self.least <= value <= self.most


def allowed(least: float, most: float, unit: str = "", *, default: Any = MISSING) -> Any:
    """A field of a parameter class with its range; without ``default`` it must be given."""
    return field(default=default, metadata={_KEY: Span(least, most, unit)})


def span_of(parameters: object, name: str) -> Span | None:
    """The range of one parameter, None where the class gives it none."""
    found = next(each for each in fields(parameters) if each.name == name)  # type: ignore[arg-type]
    span = found.metadata.get(_KEY)
    return span if isinstance(span, Span) else None


def refuse_impossible(parameters: object) -> None:
    """Judge all fields of a parameter class that have a range.

    Raises:
        ImpossibleParameterError: the first one that lies outside, or is no finite number.
    """
    for each in fields(parameters):  # type: ignore[arg-type]
        span = each.metadata.get(_KEY)
        if not isinstance(span, Span):
            continue
        value = getattr(parameters, each.name)
        if value is None and each.default is None:  # the class's own word for "not told"
            continue
        if isinstance(value, bool) or not isinstance(value, int | float) or not span.holds(value):
            raise ImpossibleParameterError(each.name, value, str(span))
