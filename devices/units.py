"""From the units that senders use to the one unit of each quantity.

Sources: SenML units, RFC 8428 section 12.1, and secondary units, RFC 8798 (``Cel``, ``K``,
``%RH``, ``/``, ``lx``, ``kg``, ``g``, ``Pa``, ``hPa``, ``V``, ``mV``, ``%EL``, ``ppm``,
``W``, ``kW``, ``dBm``); the others are what makers write for the same. 0 °C = 273.15 K and
°C = (°F - 32) / 1.8 are exact by definition; pounds and ounces (avoirdupois) too. Columns of
mercury are the conventional ones (NIST Special Publication 811, appendix B.8).
"""

from collections.abc import Mapping
from types import MappingProxyType

from devices.errors import ClutchweatherError
from devices.reading import Quantity

# A humidity of 102 % happens after dew on the sensor; 55 as a ratio is a percentage that was
# sent under the wrong name, and would read as 5500 %.
RATIO_RANGE = (-0.1, 1.5)


class UnitError(ClutchweatherError, ValueError):
    """A value can't be read as the quantity that it is said to be."""


_TEMPERATURE: dict[str | None, tuple[float, float]] = {
    **dict.fromkeys(("Cel", "degC", "C", "°C"), (1.0, 0.0)),
    **dict.fromkeys(("degF", "F", "°F"), (1 / 1.8, -32.0)),
    "K": (1.0, -273.15),
}
_ONE = (1.0, 0.0)
_RATIO = (100.0, 0.0)

# unit -> (factor, what is added before multiplying); None is "no unit given".
_UNITS: Mapping[Quantity, Mapping[str | None, tuple[float, float]]] = MappingProxyType(
    {
        Quantity.TEMPERATURE: _TEMPERATURE,
        Quantity.RELATIVE_HUMIDITY: {"%RH": _ONE, "%": _ONE, "/": _RATIO},
        Quantity.ILLUMINANCE: {"lx": _ONE, "lux": _ONE, "klx": (1000.0, 0.0)},
        Quantity.MASS: {
            "g": _ONE,
            "kg": (1000.0, 0.0),
            "mg": (0.001, 0.0),
            "oz": (28.349523125, 0.0),
            "lb": (453.59237, 0.0),
        },
        Quantity.PRESSURE: {
            "Pa": _ONE,
            "hPa": (100.0, 0.0),
            "kPa": (1000.0, 0.0),
            "mbar": (100.0, 0.0),
            "inHg": (3386.389, 0.0),
            "mmHg": (133.3224, 0.0),
        },
        Quantity.BATTERY: {"%EL": _ONE, "%": _ONE, "/": _RATIO},
        Quantity.BATTERY_VOLTAGE: {"V": _ONE, "mV": (0.001, 0.0)},
        Quantity.CO2: {"ppm": _ONE},
        # Nought or one has no unit, and the same number under any of these names.
        Quantity.MAINS: {"/": _ONE, "0/1": _ONE, "": _ONE, None: _ONE},
        Quantity.LAMP_POWER: {"W": _ONE, "kW": (1000.0, 0.0)},
        Quantity.SIGNAL: {"dBm": _ONE, "dBW": (1.0, 30.0)},
    }
)


def allowed_units(quantity: Quantity) -> tuple[str, ...]:
    """The names under which a unit of ``quantity`` may be sent, the usual one first."""
    return tuple(unit for unit in _UNITS[quantity] if unit)


def convert(value: float, unit: str | None, quantity: Quantity) -> float:
    """``value`` in the quantity's own unit.

    Args:
        value: a finite number, in ``unit``.
        unit: the sender's; None where it gave none, which only ``mains`` allows: a number
            without a unit could be anything.
        quantity: what it is said to be.

    Raises:
        UnitError: the unit is missing or not one of this quantity, or the value can't be in
            it; the message names the unit and those that are allowed.
    """
    units = _UNITS[quantity]
    scale = units.get(unit)
    if scale is None:
        given = f"the unit {unit!r}" if unit else "no unit"
        raise UnitError(f"{quantity} came with {given}; allowed: {_listed(quantity)}")
    if scale == _ONE:
        return value
    if unit == "/" and not RATIO_RANGE[0] <= value <= RATIO_RANGE[1]:
        raise UnitError(
            f"{quantity} came as {value:g} in {unit!r}, which is a ratio from 0 to 1; "
            f"percent is sent as {allowed_units(quantity)[0]}"
        )
    factor, before = scale
    return (value + before) * factor


def _listed(quantity: Quantity) -> str:
    return ", ".join(allowed_units(quantity))
