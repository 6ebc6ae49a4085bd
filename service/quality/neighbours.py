"""What the other sensors of a shed make likely, told by the middle one of them.

Each is compared with its own mean of the last days, so that a warm box among cool ones is no
fault: only who departs from his own ways while the others don't is apart. A hen moves her box
by more than any weather, and hens begin to sit in many boxes in the same week: so those in the
open are asked, and boxes only where there are too few.
"""

from collections.abc import Sequence
from statistics import median
from typing import NamedTuple

from service.quality.memory import Memory
from service.quality.terms import LEAST_NEIGHBOURS, NEIGHBOURS_WITHIN_S

_RECKONED_EVERY_S = 60


class Moved(NamedTuple):
    """By how much the middle one is off its own mean [K], and the middle one of those in the
    open (None without any). ``by_boxes`` where hens may have moved the first.
    """

    by_k: float
    in_the_open_k: float | None
    by_boxes: bool


class Neighbours:
    """The thermometers of one shed."""

    def __init__(self) -> None:
        self._members: list[Memory] = []
        self._minute: int | None = None
        self._moved: Moved | None = None

    def join(self, one: Memory) -> None:
        """One more."""
        self._members.append(one)
        self._minute = None

    def moved(self, at: float) -> Moved | None:
        """Of the middle one of them at about that time.

        None where fewer than three are heard whose mean is known; one that tells °F is none
        of them. It is reckoned once for each minute.
        """
        minute = int(at // _RECKONED_EVERY_S)
        if minute != self._minute:
            self._minute = minute
            self._moved = _middle([one for one in self._members if _tells(one, at)])
        return self._moved

    def typical_c(self, at: float, besides: Memory) -> float | None:
        """What the others show in the middle [°C]; None where none is heard."""
        told = [
            one.value
            for one in self._members
            if one is not besides and one.heard and abs(one.at - at) <= NEIGHBOURS_WITHIN_S
        ]
        return median(told) if told else None


def _tells(one: Memory, at: float) -> bool:
    heard = abs(one.at - at) <= NEIGHBOURS_WITHIN_S
    return heard and one.past.level is not None and not one.fahrenheit


def _middle(telling: Sequence[Memory]) -> Moved | None:
    in_the_open = _off([one for one in telling if not one.in_box])
    open_k = median(in_the_open) if in_the_open else None
    if len(in_the_open) >= LEAST_NEIGHBOURS:
        return Moved(median(in_the_open), open_k, by_boxes=False)
    off = _off(telling)
    return Moved(median(off), open_k, by_boxes=True) if len(off) >= LEAST_NEIGHBOURS else None


def _off(telling: Sequence[Memory]) -> list[float]:
    return [one.value - one.past.level for one in telling if one.past.level is not None]
