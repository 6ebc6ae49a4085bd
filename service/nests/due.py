"""What is to come in a nest, as spans with their reasons."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class DueKind(StrEnum):
    """What a nest needs a person for."""

    NEXT_EGG = "next egg"
    CANDLE = "candle"
    HATCH = "hatch"
    RING = "ring"
    HIDE_IN = "hide in"
    FLEDGE = "fledge"
    INDEPENDENT = "independent"


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """Between ``since`` and ``until`` (UTC) ``kind`` is to be expected.

    ``egg_number`` is None for what concerns the whole box. ``why`` is one plain sentence
    that names the facts it rests on.
    """

    kind: DueKind
    box: str
    egg_number: int | None
    since: datetime
    until: datetime
    why: str
