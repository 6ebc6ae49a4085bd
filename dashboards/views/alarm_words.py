"""Short words for an alarm on a page, from the limit that raised it."""

from dataclasses import dataclass

from devices.reading import Quantity
from service.alarms.alarm import Alarm
from service.alarms.rule_words import rule_words
from service.alarms.wording import verdict_words, what_to_do
from service.rules.limit import Limit

OVERDUE = "overdue:"


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmWords:
    """``verdict`` stands alone ("Too damp"), ``state`` after a place ("damp").

    ``upward``: the value lies in the upper bank, the sign is turned over.
    """

    verdict: str
    state: str
    advice: str
    upward: bool = False


_STATE = {
    (Quantity.MASS, False): "light",
    (Quantity.MASS, True): "heavy",
    (Quantity.MAINS, False): "no mains",
    (Quantity.BATTERY, False): "battery",
    (Quantity.BATTERY_VOLTAGE, False): "battery",
    (Quantity.CO2, True): "stale air",
}
_UPPER_BANK = {(Quantity.RELATIVE_HUMIDITY, False)} | {
    (quantity, True) for quantity in Quantity if quantity is not Quantity.RELATIVE_HUMIDITY
}
"""Damp air lies in the lower bank and dry air in the upper one: there the channel has them."""

_GONE = AlarmWords(verdict="Alarm", state="alarm", advice="see the phone")
"""For an alarm whose limit is set no more."""


def words_of(limit: Limit | None) -> AlarmWords:
    """The short words for a limit that is breached."""
    if limit is None:
        return _GONE
    key = (limit.quantity, limit.high is not None)
    verdict = verdict_words(limit)
    return AlarmWords(
        verdict=verdict,
        state=_STATE.get(key, verdict.removeprefix("Too ")),
        advice=what_to_do(limit)[0].removesuffix(" or").rstrip(","),
        upward=key in _UPPER_BANK,
    )


def alarm_words(alarm: Alarm, limits: tuple[Limit, ...]) -> AlarmWords:
    """The short words for an alarm, of a limit or of another kind of rule."""
    words = rule_words(alarm.rule)
    if words is None:
        return words_of(limit_of(alarm, limits))
    return AlarmWords(verdict=words.verdict, state=words.state, advice=words.advice)


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
        case Quantity.SIGNAL:
            return f"{value:.0f} dBm".replace("-", "\N{MINUS SIGN}")
        case _:
            return f"{value:.0f} {quantity.unit}"
