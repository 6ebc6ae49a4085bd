"""What a service must be told to understand the simulated senders."""

from collections.abc import Iterable

from devices.reading import Quantity
from devices.sensor import Feed, Field, Format
from simulated_feeds.senders.parameters import Sender, SenderKind

SENML = Feed(topic="clutchweather/+/senml", format=Format.SENML)

TEMPERATURE, HUMIDITY, LIGHT, MASS, MAINS = "temperature", "humidity", "light", "w", "mains"
BATTERY, BATTERY_VOLTAGE = "battery", "battery_voltage"

UNITS = {
    TEMPERATURE: "Cel",
    HUMIDITY: "%RH",
    LIGHT: "lx",
    MASS: "g",
    MAINS: "/",
    BATTERY: "%EL",
    BATTERY_VOLTAGE: "V",
}
"""The units of SenML (RFC 8428, section 12.1) in which each measure is sent."""

QUANTITIES = {
    TEMPERATURE: Quantity.TEMPERATURE,
    HUMIDITY: Quantity.RELATIVE_HUMIDITY,
    LIGHT: Quantity.ILLUMINANCE,
    MASS: Quantity.MASS,
    MAINS: Quantity.MAINS,
    BATTERY: Quantity.BATTERY,
    BATTERY_VOLTAGE: Quantity.BATTERY_VOLTAGE,
}


def measures(kind: SenderKind) -> tuple[str, ...]:
    """What a kind of sender tells with every sample, in this order."""
    if kind is SenderKind.SCALE:
        return (MASS,)
    if kind is SenderKind.MAINS:
        return (MAINS,)
    air: tuple[str, ...] = (TEMPERATURE,) if kind.has_thermometer else ()
    if kind.has_hygrometer:
        air = (TEMPERATURE, HUMIDITY)
    return (*air, LIGHT) if kind.has_eye else air


def measures_of(sender: Sender) -> dict[str, Quantity]:
    """Which of a sender's own names are not those of their quantity, and what they mean."""
    if sender.format is not Format.SENML:
        return {}  # its feed says so
    return {
        name: QUANTITIES[name] for name in measures(sender.kind) if QUANTITIES[name].value != name
    }


def feeds_of(senders: Iterable[Sender]) -> tuple[Feed, ...]:
    """The feeds that carry all their messages, each once."""
    found: dict[Feed, None] = {}
    for sender in senders:
        found.update(dict.fromkeys(_feeds(sender)))
    return tuple(found)


def _feeds(sender: Sender) -> tuple[Feed, ...]:
    if sender.format is Format.SENML:
        return (SENML,)
    names = measures(sender.kind)
    if sender.format is Format.JSON:
        return (
            Feed(
                topic=sender.topic,
                format=Format.JSON,
                device_pointer="/id",
                time_pointer="/at",
                fields=tuple(_field(name) for name in (*names, BATTERY)),
            ),
        )
    return tuple(
        Feed(
            topic=f"{sender.topic}/{name}",
            format=Format.NUMBER,
            device_level=2,
            quantity=QUANTITIES[name],
            unit=UNITS[name],
        )
        for name in names
    )


def _field(name: str) -> Field:
    return Field(pointer=f"/{name}", quantity=QUANTITIES[name], unit=UNITS[name])
