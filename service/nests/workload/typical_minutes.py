"""How long the work of a nest typically takes. Invented by us, common practice; no source.

What a look sees by itself (an egg, a chick, a youngster out) takes nothing beside the look.
"""

from collections.abc import Mapping

from service.nests.due import DueKind
from service.nests.nest import NestCheck

SOURCE = "typical minutes, invented by us: common practice, no source"

LOOK_MIN = 2.0
"""One look into one box, where no duty says how long it takes."""

DUE_MIN: Mapping[DueKind, float] = {
    DueKind.CANDLE: 4.0,
    DueKind.RING: 3.0,
    DueKind.HIDE_IN: 3.0,
    DueKind.SPLIT: 3.0,
    DueKind.BOX_OFF: 10.0,
}
"""Candling and box for the whole nest, ring and putting apart for each chick [min]."""


def minutes_of_check(check: NestCheck, look_min: float = LOOK_MIN) -> float:
    """What a look, and what was done at it, typically takes [min]."""
    told = look_min + len(check.ringed) * DUE_MIN[DueKind.RING]
    told += sum(guest.ring is not None for guest in check.guests) * DUE_MIN[DueKind.RING]
    if check.candled or any(guest.candled is not None for guest in check.guests):
        told += DUE_MIN[DueKind.CANDLE]
    if check.hide_in:
        told += DUE_MIN[DueKind.HIDE_IN]
    return told
