"""From what a sender says to a reading at a place, where that is known. Pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from devices.message import Message
from devices.reading import Measurement, Quantity, Reading
from devices.sensor import Sensor
from devices.units import UnitError, convert

RETAINED_WITHOUT_TIME = "retained, without a time: nobody can tell when it was measured"


class Why(StrEnum):
    """What is missing for a reading."""

    UNKNOWN_DEVICE = "unknown device"
    UNKNOWN_MEASURE = "unknown measure"
    WRONG_UNIT = "wrong unit"
    NO_TIME = "no time"


@dataclass(frozen=True, slots=True, kw_only=True)
class Unplaced:
    """A measurement that is no reading yet; ``reason`` says why in words."""

    why: Why
    reason: str

    @property
    def is_stranger(self) -> bool:
        """It was understood and only wants a place; otherwise it is a dead letter."""
        return self.why in (Why.UNKNOWN_DEVICE, Why.UNKNOWN_MEASURE)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Standing:
    sensor: Sensor
    quantities: Mapping[str, Quantity]


class Placement:
    """Knows which sensor stands where, and what its measures are called."""

    def __init__(self, sensors: Iterable[Sensor]) -> None:
        self._standing = {
            sensor.device: _Standing(sensor=sensor, quantities=_quantities(sensor))
            for sensor in sensors
        }

    def sensor(self, device: str) -> Sensor | None:
        """The sensor of that name, None where it has no place."""
        standing = self._standing.get(device)
        return None if standing is None else standing.sensor

    def knows(self, device: str, measure: str) -> bool:
        """Whether the device has a place, and what its measure means is told."""
        standing = self._standing.get(device)
        return standing is not None and measure in standing.quantities

    def place(self, measurement: Measurement, message: Message) -> Reading | Unplaced:
        """The reading that ``measurement`` is, in the quantity's own unit.

        One without a time gets its arrival as ``measured_at``, unless it was retained: a
        retained value may be of any age.
        """
        standing = self._standing.get(measurement.device)
        if standing is None:
            return Unplaced(why=Why.UNKNOWN_DEVICE, reason=f"{measurement.device} has no place yet")
        quantity = standing.quantities.get(measurement.measure)
        if quantity is None:
            return Unplaced(
                why=Why.UNKNOWN_MEASURE,
                reason=f"{measurement.device}: what {measurement.measure} means is not told",
            )
        if message.retained and measurement.measured_at is None:
            return Unplaced(why=Why.NO_TIME, reason=RETAINED_WITHOUT_TIME)
        try:
            value = convert(measurement.value, measurement.unit, quantity)
            return Reading(
                device=measurement.device,
                place=standing.sensor.place,
                quantity=quantity,
                value=value,
                measured_at=measurement.measured_at or message.received_at,
                received_at=message.received_at,
            )
        except (UnitError, ValueError) as error:
            # Also a value that leaves the finite numbers when its unit is converted.
            return Unplaced(why=Why.WRONG_UNIT, reason=f"{measurement.device}: {error}")


def _quantities(sensor: Sensor) -> dict[str, Quantity]:
    """From the sender's names to quantities: the keeper's words first, then our own names.

    A quantity that the keeper took from another measure is not taken from its own name too:
    two measures would mix in one series.
    """
    taken = set(sensor.measures.values())
    own = {quantity.value: quantity for quantity in Quantity if quantity not in taken}
    return own | dict(sensor.measures)
