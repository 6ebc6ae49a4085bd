"""Places: a place stands in another (box in cage in shed); ``outdoors`` is one too."""

from dataclasses import dataclass
from enum import StrEnum


class PlaceKind(StrEnum):
    """What a place is.

    A surface is where water is seen first, a window pane say: its sensor tells how cold it is,
    and of no air. A jar is where a sensor is calibrated: its air is no air of the shed.
    """

    SHED = "shed"
    FLIGHT = "flight"
    CAGE = "cage"
    BOX = "box"
    OUTDOORS = "outdoors"
    SURFACE = "surface"
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
