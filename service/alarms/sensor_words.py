"""What the alarms of stuck and failing sensors and of their batteries say."""

from datetime import datetime, tzinfo

from devices.reading import Quantity
from service.alarms.wording import clock_time

_NAMES = {
    Quantity.RELATIVE_HUMIDITY: "humidity",
    Quantity.ILLUMINANCE: "light",
    Quantity.BATTERY_VOLTAGE: "battery voltage",
    Quantity.LAMP_POWER: "lamp power",
    Quantity.CO2: "carbon dioxide",
}


def stuck_text(
    device: str, quantity: Quantity, *, place_name: str, since: datetime, zone: tzinfo
) -> str:
    """For example "Box 2's sensor th-2 is stuck: its temperature does not move at all, seen
    since 03:10. It would hide frost and heat. Look at the birds, then take its battery out and
    put it back."
    """
    warmth = quantity is Quantity.TEMPERATURE
    hidden = "It would hide frost and heat" if warmth else "Nobody can tell what it is there now"
    return (
        f"{place_name}'s sensor {device} is stuck: its {_name(quantity)} does not move at all, "
        f"seen since {clock_time(since, zone)}. {hidden}. Look at the birds, "
        "then take its battery out and put it back."
    )


def failing_text(
    device: str, quantity: Quantity, *, place_name: str, bad: int, since: datetime, zone: tzinfo
) -> str:
    """``bad`` of its last twenty readings can't be."""
    return (
        f"{place_name}'s sensor {device} fails: {bad} of its last 20 readings of "
        f"{_name(quantity)} can't be, seen at {clock_time(since, zone)}. Look at the birds, then "
        "at its plug and wires."
    )


def battery_text(device: str, *, place_name: str, percent: float) -> str:
    """``percent`` is what is left.

    For example "Box 2's sensor th-2: battery 12 %. Put in a new one on your next visit."
    """
    return (
        f"{place_name}'s sensor {device}: battery {percent:.0f} %. Put in a new one on your next "
        "visit."
    )


def dying_text(device: str, *, place_name: str, since: datetime, zone: tzinfo) -> str:
    """A battery that falls fast: its sensor is soon silent, and wanders till then."""
    return (
        f"{place_name}'s sensor {device}: its battery falls fast, seen at "
        f"{clock_time(since, zone)}. What it tells wanders, and it will be silent within a day. "
        "Put in a new battery."
    )


def _name(quantity: Quantity) -> str:
    return _NAMES.get(quantity, quantity.value.replace("_", " "))
