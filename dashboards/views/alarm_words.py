"""Short words for an alarm, from the limit that raised it: what is wrong and what to do.

The advice is common practice of bird keeping, without a source.
"""

from dataclasses import dataclass

from devices.reading import Quantity
from service.alarms.alarm import Alarm
from service.rules.limit import Limit

OVERDUE = "overdue:"


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmWords:
    """``verdict`` stands alone ("Too damp"), ``state`` after a place ("damp").

    ``upward``: the value is too high for its bank, the sign is turned over.
    """

    verdict: str
    state: str
    advice: str
    upward: bool = False


_LOW = {
    Quantity.TEMPERATURE: AlarmWords(verdict="Too cold", state="cold", advice="keep warmth in"),
    Quantity.RELATIVE_HUMIDITY: AlarmWords(
        verdict="Too dry", state="dry", advice="add moisture", upward=True
    ),
    Quantity.ILLUMINANCE: AlarmWords(verdict="Too dark", state="dark", advice="see to lamps"),
    Quantity.MASS: AlarmWords(verdict="Too light", state="light", advice="look in"),
    Quantity.PRESSURE: AlarmWords(verdict="Low pressure", state="pressure", advice="look in"),
    Quantity.BATTERY: AlarmWords(verdict="Battery low", state="battery", advice="change it"),
    Quantity.BATTERY_VOLTAGE: AlarmWords(
        verdict="Battery low", state="battery", advice="change it"
    ),
    Quantity.CO2: AlarmWords(verdict="CO2 low", state="CO2 low", advice="see sensor"),
    Quantity.MAINS: AlarmWords(verdict="Mains off", state="no mains", advice="see to mains"),
    Quantity.LAMP_POWER: AlarmWords(verdict="Lamps out", state="lamps out", advice="see lamps"),
}
_HIGH = {
    Quantity.TEMPERATURE: AlarmWords(
        verdict="Too hot", state="hot", advice="open a vent", upward=True
    ),
    Quantity.RELATIVE_HUMIDITY: AlarmWords(verdict="Too damp", state="damp", advice="open a vent"),
    Quantity.ILLUMINANCE: AlarmWords(
        verdict="Too bright", state="bright", advice="see to lamps", upward=True
    ),
    Quantity.MASS: AlarmWords(verdict="Too heavy", state="heavy", advice="look in", upward=True),
    Quantity.PRESSURE: AlarmWords(
        verdict="High pressure", state="pressure", advice="look in", upward=True
    ),
    Quantity.BATTERY: AlarmWords(
        verdict="Battery high", state="battery", advice="see sensor", upward=True
    ),
    Quantity.BATTERY_VOLTAGE: AlarmWords(
        verdict="Battery high", state="battery", advice="see sensor", upward=True
    ),
    Quantity.CO2: AlarmWords(
        verdict="Stale air", state="stale air", advice="open a vent", upward=True
    ),
    Quantity.MAINS: AlarmWords(verdict="Mains", state="mains", advice="see to mains", upward=True),
    Quantity.LAMP_POWER: AlarmWords(
        verdict="Lamps high", state="lamps", advice="see lamps", upward=True
    ),
}
_GONE = AlarmWords(verdict="Alarm", state="alarm", advice="see the phone")
"""For an alarm whose limit is set no more."""


def words_of(limit: Limit | None) -> AlarmWords:
    """The short words for a limit that is breached."""
    if limit is None:
        return _GONE
    return (_LOW if limit.low is not None else _HIGH)[limit.quantity]


def limit_of(alarm: Alarm, limits: tuple[Limit, ...]) -> Limit | None:
    """The limit that raised an alarm; None for a silent sensor or a limit that is gone."""
    return next((limit for limit in limits if limit.id == alarm.rule), None)


def silent_device(alarm: Alarm) -> str | None:
    """The sensor that an alarm says is silent, or None for an alarm of a limit."""
    return alarm.rule.removeprefix(OVERDUE) if alarm.rule.startswith(OVERDUE) else None


def value_in_words(value: float, quantity: Quantity) -> str:
    """``4.2°``, ``85%``, ``120 lx``."""
    match quantity:
        case Quantity.TEMPERATURE:
            told = f"{abs(value):.1f}°"
            return f"\N{MINUS SIGN}{told}" if value <= -0.05 else told
        case Quantity.RELATIVE_HUMIDITY | Quantity.BATTERY:
            return f"{value:.0f}%"
        case Quantity.MAINS:
            return "on" if value >= 0.5 else "off"
        case Quantity.BATTERY_VOLTAGE:
            return f"{value:.2f} V"
        case _:
            return f"{value:.0f} {quantity.unit}"
