"""What an alarm says, in plain words: what is, since when, what to do.

The only place of the rules that speaks in local time.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from devices.reading import Quantity
from service.rules.limit import Limit
from service.rules.unwatched import UNWATCHED_FOR


@dataclass(frozen=True, slots=True, kw_only=True)
class _Words:
    """``verdict`` for the wall (12 characters at most), ``do`` for the wall (two lines of 15
    at most), ``advice`` for the alarm's own text."""

    verdict: str
    do: tuple[str, ...]
    advice: str


_COLD = _Words(
    verdict="Too cold",
    do=("close vents,", "or heat"),
    advice="Close vents or heat, and look.",
)
_HOT = _Words(
    verdict="Too hot",
    do=("open vents,", "give shade"),
    advice="Open vents, give shade and water, and look.",
)
_WORDS = {
    (Quantity.TEMPERATURE, False): _COLD,
    (Quantity.TEMPERATURE, True): _HOT,
    (Quantity.RELATIVE_HUMIDITY, True): _Words(
        verdict="Too damp", do=("open a vent",), advice="Open a vent."
    ),
    (Quantity.RELATIVE_HUMIDITY, False): _Words(
        verdict="Too dry",
        do=("heat less, or", "add moisture"),
        advice="Heat less, or add moisture.",
    ),
    (Quantity.ILLUMINANCE, False): _Words(
        verdict="Too dark", do=("look at lamps",), advice="Look at the lamps and their timer."
    ),
    (Quantity.ILLUMINANCE, True): _Words(
        verdict="Too bright", do=("look at lamps",), advice="Look at the lamps and their timer."
    ),
    (Quantity.CO2, True): _Words(
        verdict="Stale air",
        do=("open a vent",),
        advice="Open door and vent before you stay in there.",
    ),
    (Quantity.MAINS, False): _Words(
        verdict="Mains off", do=("look at fuses",), advice="Look at the fuses, and at the heat."
    ),
    (Quantity.BATTERY, False): _Words(
        verdict="Battery low", do=("new battery",), advice="Put in a new battery."
    ),
    (Quantity.BATTERY_VOLTAGE, False): _Words(
        verdict="Battery low", do=("new battery",), advice="Put in a new battery."
    ),
    (Quantity.SIGNAL, False): _Words(
        verdict="Weak signal", do=("move it nearer",), advice="Move it nearer to its receiver."
    ),
}
_LONGEST_TOPIC = 60
_LOOK = ("go and look",)
_LOW = _Words(verdict="Too low", do=_LOOK, advice="Go and look.")
_HIGH = _Words(verdict="Too high", do=_LOOK, advice="Go and look.")

_UNITS = {
    Quantity.TEMPERATURE: "°",
    Quantity.RELATIVE_HUMIDITY: " %",
    Quantity.MAINS: "",
}

_NAMES = {
    Quantity.RELATIVE_HUMIDITY: "humidity ",
    Quantity.ILLUMINANCE: "light ",
    Quantity.MASS: "weight ",
    Quantity.PRESSURE: "air pressure ",
    Quantity.BATTERY: "battery ",
    Quantity.BATTERY_VOLTAGE: "battery ",
    Quantity.CO2: "carbon dioxide ",
    Quantity.LAMP_POWER: "lamp power ",
    Quantity.SIGNAL: "signal ",
}
"""What the number is of, where its unit does not say so to somebody half asleep."""

_WHOLE = frozenset((Quantity.ILLUMINANCE, Quantity.PRESSURE, Quantity.CO2, Quantity.SIGNAL))
"""A tenth of these says nothing."""


def verdict_words(limit: Limit) -> str:
    """What is wrong when this limit is breached, in at most 12 characters."""
    return _words(limit).verdict


def what_to_do(limit: Limit) -> tuple[str, ...]:
    """What to do about it: one or two lines of at most 15 characters."""
    return _words(limit).do


def limit_text(
    limit: Limit, *, place_name: str, value: float, since: datetime, zone: tzinfo
) -> str:
    """A breached limit: ``since`` is when the breach began.

    For example "Shed 4.2°, under 5° since 22:50. Close vents or heat, and look."
    """
    what = f"{place_name} {_breach(limit, value)}"
    return f"{what} since {clock_time(since, zone)}. {_words(limit).advice}"


def past_text(
    limit: Limit,
    *,
    place_name: str,
    value: float,
    since: datetime,
    until: datetime,
    now: datetime,
    zone: tzinfo,
) -> str:
    """A limit that was breached and is so no more, learned only now.

    For example "While nobody listened: Shed 4.2°, under 5° from 22:50 to 03:10. It is over. See
    how the birds are."
    """
    return (
        f"While nobody listened: {place_name} {_breach(limit, value)} from "
        f"{_when(since, now, zone)} to {_when(until, now, zone)}. "
        "It is over. See how the birds are."
    )


def overdue_text(
    device: str,
    *,
    place_name: str,
    last_heard: datetime | None,
    now: datetime,
    zone: tzinfo,
    deaf: bool = False,
) -> str:
    """A silent sensor: ``last_heard`` is None for one that was never heard.

    ``deaf``: the broker can't be heard, so that the sensor may be well.

    For example "Box 2's sensor th-2 silent, last heard 11:52. Look at its battery and place."
    """
    heard = (
        "never heard yet" if last_heard is None else f"last heard {_when(last_heard, now, zone)}"
    )
    advice = "Look at its battery and place."
    if deaf:
        advice = "The broker can't be reached: look at that first."
    return f"{_owner(place_name)} sensor {device} silent, {heard}. {advice}"


def together_text(
    names: Sequence[str],
    *,
    place_name: str,
    last_heard: datetime | None,
    now: datetime,
    zone: tzinfo,
) -> str:
    """Sensors that fell silent together; ``names`` are those that are silent still.

    For example "Shed: sensors fell silent together, 2 sensors are silent, last heard 21:00. See
    whether the shed has power, then look at the receiver. Silent: th-1 (Box 1), th-2 (Box 2)."
    """
    count = f"{len(names)} sensors are" if len(names) > 1 else "one sensor is"
    last = _last(last_heard, now, zone)
    return (
        f"{place_name}: sensors fell silent together, {count} silent{last}. "
        "See whether the shed has power, then look at the receiver. "
        f"Silent: {', '.join(names)}."
    )


def broker_text(
    names: Sequence[str],
    *,
    place_name: str,
    last_heard: datetime | None,
    now: datetime,
    zone: tzinfo,
) -> str:
    """The broker can't be heard, and so neither can its sensors, ``names``.

    For example "Shed: the broker can't be reached, nothing is heard, last heard 21:00. See
    whether its machine and the network have power. Unheard: th-1 (Box 1), th-2 (Box 2)."
    """
    return (
        f"{place_name}: the broker can't be reached, nothing is heard"
        f"{_last(last_heard, now, zone)}. See whether its machine and the network have power. "
        f"Unheard: {', '.join(names)}."
    )


def unwatched_text(text: str, *, place_name: str) -> str:
    """``text`` tells of the silence; nothing of a shed has been heard for a while.

    For example "Nobody watches Shed: nothing of it was heard for 20 minutes and more. Look at the
    birds first. Box 2's sensor th-2 silent, ..."
    """
    minutes = UNWATCHED_FOR // timedelta(minutes=1)
    return (
        f"Nobody watches {place_name}: nothing of it was heard for {minutes} minutes and more. "
        f"Look at the birds first. {text}"
    )


def twins_text(
    device: str,
    *,
    place_name: str,
    topics: Sequence[str],
    since: datetime,
    zone: tzinfo,
) -> str:
    """Two devices that call themselves alike.

    For example "Box 2: two devices call themselves th-2 since 11:52, and their readings mix.
    Give one of them another name."
    """
    under = ""
    if len(topics) > 1:
        shown = " and ".join(topic[:_LONGEST_TOPIC] for topic in topics[:2])
        under = f", under {shown}"
    return (
        f"{place_name}: two devices call themselves {device} since {clock_time(since, zone)}"
        f"{under}, and their readings mix. Give one of them another name."
    )


def clock_time(at: datetime, zone: tzinfo) -> str:
    """A measured time of day, local: "22:50"."""
    return at.astimezone(zone).strftime("%H:%M")


def _owner(name: str) -> str:
    """``Box 2's``, ``Outdoors'``."""
    return f"{name}'" if name.endswith("s") else f"{name}'s"


def _last(heard: datetime | None, now: datetime, zone: tzinfo) -> str:
    return "" if heard is None else f", last heard {_when(heard, now, zone)}"


def _when(at: datetime, now: datetime, zone: tzinfo) -> str:
    local = at.astimezone(zone)
    if local.date() == now.astimezone(zone).date():
        return clock_time(at, zone)
    return f"{local.day} {local.strftime('%b')} {clock_time(at, zone)}"


def _words(limit: Limit) -> _Words:
    high = limit.high is not None
    return _WORDS.get((limit.quantity, high), _HIGH if high else _LOW)


def _breach(limit: Limit, value: float) -> str:
    """``4.2°, under 5°``, ``humidity 86.4 %, over 80 %``, ``has no mains power``."""
    if limit.quantity is Quantity.MAINS and limit.low is not None:
        return "has no mains power"
    side = "over" if limit.high is not None else "under"
    name = _NAMES.get(limit.quantity, "")
    return f"{name}{_breached_value(limit, value)}, {side} {_setpoint(limit)}"


def _breached_value(limit: Limit, value: float) -> str:
    """The value with one decimal at most, rounded towards trouble where it would look like fine."""
    decimals = 0 if limit.quantity in _WHOLE and limit.setpoint == round(limit.setpoint) else 1
    shown, scale = round(value, decimals), 10**decimals
    if limit.low is not None and value < limit.low <= shown:
        shown = math.floor(value * scale) / scale
    if limit.high is not None and value > limit.high >= shown:
        shown = math.ceil(value * scale) / scale
    return f"{shown + 0.0:.{decimals}f}{_unit(limit.quantity)}"


def _setpoint(limit: Limit) -> str:
    """The setpoint as it was set: without decimals where it has none."""
    return f"{limit.setpoint:g}{_unit(limit.quantity)}"


def _unit(quantity: Quantity) -> str:
    return _UNITS.get(quantity, f" {quantity.unit}")
