"""What a calibration does to a value: a straight line, from an instant on. Pure.

The past is never changed: a reading that was measured before ``since`` stays as it was
stored, and every corrected reading keeps its raw value beside it.
"""

from dataclasses import dataclass
from datetime import datetime

from devices.reading import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """``slope`` x raw + ``offset``, in the quantity's own unit, from ``since`` on.

    It holds until a later one of the same device and quantity begins.
    """

    device: str
    quantity: Quantity
    since: datetime
    slope: float
    offset: float

    def applied_to(self, raw: float) -> float:
        """The corrected value of ``raw``."""
        return self.slope * raw + self.offset
