"""What a sensor said, before and after it is known where the sensor stands."""

import math
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum


class Quantity(StrEnum):
    """What is measured. Each has one unit inside the service, told by ``unit``."""

    TEMPERATURE = "temperature"
    RELATIVE_HUMIDITY = "relative_humidity"
    ILLUMINANCE = "illuminance"
    MASS = "mass"
    PRESSURE = "pressure"
    BATTERY = "battery"
    BATTERY_VOLTAGE = "battery_voltage"
    CO2 = "co2"
    MAINS = "mains"
    LAMP_POWER = "lamp_power"
    SIGNAL = "signal"

    @property
    def unit(self) -> str:
        """The unit of every stored value of this quantity, as people read it."""
        return _UNITS[self]


_UNITS = {
    Quantity.TEMPERATURE: "°C",
    Quantity.RELATIVE_HUMIDITY: "%",
    Quantity.ILLUMINANCE: "lx",
    Quantity.MASS: "g",
    Quantity.PRESSURE: "Pa",
    Quantity.BATTERY: "%",
    Quantity.BATTERY_VOLTAGE: "V",
    Quantity.CO2: "ppm",
    Quantity.MAINS: "0/1",
    Quantity.LAMP_POWER: "W",
    Quantity.SIGNAL: "dBm",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """A number as its sender named it: no place yet, unit still the sender's.

    ``measured_at`` is None when the sender gave no time.
    """

    device: str
    measure: str
    value: float
    unit: str | None
    measured_at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One value of one quantity at one place, in the quantity's own unit.

    ``measured_at`` places it on a chart, ``received_at`` tells whether the sensor still
    talks; both UTC. ``stamped_at`` is the sender's time where that time was not believed
    and the time of arrival stands in for it; otherwise None. ``raw`` is the value before a
    calibration was applied; None where none was.
    """

    device: str
    place: str
    quantity: Quantity
    value: float
    measured_at: datetime
    received_at: datetime
    stamped_at: datetime | None = None
    raw: float | None = None

    def __post_init__(self) -> None:
        if not math.isfinite(self.value):
            raise ValueError(f"{self.device}: {self.quantity} is {self.value}, not a number")
        if self.measured_at.tzinfo is not UTC or self.received_at.tzinfo is not UTC:
            raise ValueError(f"{self.device}: times of {self.quantity} must be in UTC")
