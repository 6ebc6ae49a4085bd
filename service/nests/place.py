"""Places: a place stands in another (box in cage in shed); ``outdoors`` is one too."""

from dataclasses import dataclass
from enum import StrEnum


class PlaceKind(StrEnum):
    """What a place is. A jar is where a sensor is calibrated: its air is no air of the shed."""

    SHED = "shed"
    FLIGHT = "flight"
    CAGE = "cage"
    BOX = "box"
    OUTDOORS = "outdoors"
    JAR = "jar"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """``name`` is what people read ("Box 4"); ``order`` is the walking order.

    ``within`` is the id of the place around it, or None.
    """

    id: str
    kind: PlaceKind
    name: str
    within: str | None = None
    order: int = 0
