"""From what a sensor reads and what a reference beside it says to a straight line. Pure.

A sensor that is far off is broken, and no correction makes it right: what is refused is told
in words. The bounds are common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from devices.reading import Quantity
from service.errors import InputError

SLOPES = (0.8, 1.2)
_MASS_SHARE = 0.1
_LEAST_MASS_G = 5.0

FARTHEST: Mapping[Quantity, float] = MappingProxyType(
    {Quantity.TEMPERATURE: 5.0, Quantity.RELATIVE_HUMIDITY: 15.0}
)
"""How far off a sensor may be, in the quantity's own unit."""

APART: Mapping[Quantity, float] = MappingProxyType(
    {Quantity.TEMPERATURE: 10.0, Quantity.RELATIVE_HUMIDITY: 20.0, Quantity.MASS: 50.0}
)
"""How far two references must lie apart for a line through them to mean anything."""

CALIBRATED = tuple(APART)
"""What can be calibrated."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """What the sensor reads, uncorrected, and what is true, in the quantity's own unit."""

    raw: float
    reference: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """``slope`` x raw + ``offset``."""

    slope: float
    offset: float

    def at(self, raw: float) -> float:
        """The corrected value."""
        return self.slope * raw + self.offset


def offset_through(quantity: Quantity, point: Point) -> Line:
    """The line that adds the same everywhere.

    Raises:
        InputError: the sensor is too far off, or its quantity can't be calibrated.
    """
    _refuse_far(quantity, point)
    return Line(slope=1.0, offset=point.reference - point.raw)


def line_through(quantity: Quantity, first: Point, second: Point) -> Line:
    """The line through two points.

    Raises:
        InputError: it is too far off at one of them, they lie too near to each other, or the
            line is too steep or too flat.
    """
    for point in (first, second):
        _refuse_far(quantity, point)
    unit = quantity.unit
    apart = abs(second.reference - first.reference)
    if apart < APART[quantity] or second.raw == first.raw:
        raise InputError(
            f"The two references lie {apart:.4g} {unit} apart; needed: {APART[quantity]:g} {unit} "
            "or more."
        )
    slope = (second.reference - first.reference) / (second.raw - first.raw)
    if not SLOPES[0] <= slope <= SLOPES[1]:
        raise InputError(
            f"A line through both points has the slope {slope:.2f}; allowed: {SLOPES[0]} to "
            f"{SLOPES[1]}. A sensor that far off is broken, or a point is wrong."
        )
    return Line(slope=slope, offset=first.reference - slope * first.raw)


def farthest_off(quantity: Quantity, reference: float) -> float:
    """How far off a sensor may be at this value, in the quantity's own unit."""
    if quantity is Quantity.MASS:
        return max(_LEAST_MASS_G, _MASS_SHARE * abs(reference))
    return FARTHEST[quantity]


def _refuse_far(quantity: Quantity, point: Point) -> None:
    if quantity not in APART:
        raise InputError(f"{quantity.value.replace('_', ' ')} is not calibrated here.")
    off = abs(point.reference - point.raw)
    allowed = farthest_off(quantity, point.reference)
    if off > allowed:
        unit = quantity.unit
        raise InputError(
            f"It reads {point.raw:.4g} {unit} where the reference says {point.reference:.4g} "
            f"{unit}: {off:.3g} {unit} off; at most {allowed:.3g} {unit} is corrected. "
            "A sensor that far off is broken, or the two do not stand in the same air."
        )
