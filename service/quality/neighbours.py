"""What the other sensors of a shed make likely, told by the middle one of them.

Each is compared with its own mean of the last days, so that a warm box among cool ones is no
fault: only who departs from his own ways while the others don't is apart.
"""

from statistics import median

from service.quality.memory import Memory
from service.quality.terms import LEAST_NEIGHBOURS, NEIGHBOURS_WITHIN_S

_RECKONED_EVERY_S = 60


class Neighbours:
    """The thermometers of one shed."""

    def __init__(self) -> None:
        self._members: list[Memory] = []
        self._minute: int | None = None
        self._moved: float | None = None

    def join(self, one: Memory) -> None:
        """One more."""
        self._members.append(one)
        self._minute = None

    def moved(self, at: float) -> float | None:
        """By how much the middle one of them is off its own mean [K] at about that time.

        None where fewer than three are heard whose mean is known; one that tells °F is none
        of them. It is reckoned once for
        each minute.
        """
        minute = int(at // _RECKONED_EVERY_S)
        if minute != self._minute:
            self._minute = minute
            told = [
                one.value - one.past.level
                for one in self._members
                if one.past.level is not None
                and not one.fahrenheit
                and abs(one.at - at) <= NEIGHBOURS_WITHIN_S
            ]
            self._moved = median(told) if len(told) >= LEAST_NEIGHBOURS else None
        return self._moved

    def typical_c(self, at: float, besides: Memory) -> float | None:
        """What the others show in the middle [°C]; None where none is heard."""
        told = [
            one.value
            for one in self._members
            if one is not besides and one.heard and abs(one.at - at) <= NEIGHBOURS_WITHIN_S
        ]
        return median(told) if told else None
