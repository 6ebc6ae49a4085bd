"""What is supposed of a round that is still to come: how it begins, how large it is, and the next.

Nothing of it was measured here: it is common practice, and said so wherever it is used.
"""

from dataclasses import dataclass

from service.nests.species import COMMON, DaySpan, EggSpan

_FIRST_EGG = DaySpan(least=8, most=14, source=COMMON)
_AGAIN = DaySpan(least=0, most=14, source=COMMON)
_EGGS = EggSpan(least=4, most=6, source=COMMON)


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualRound:
    """``first_egg_after_pairing`` counts from the day the pair was put up, and
    ``again_after_first_out`` from the first youngster out of the box to the first egg of the
    next round. ``eggs`` are how many a clutch has; every number of them is taken as likely as
    any other. ``hatching`` is the chance that an egg hatches of which nothing is known yet.
    """

    first_egg_after_pairing: DaySpan = _FIRST_EGG
    again_after_first_out: DaySpan = _AGAIN
    eggs: EggSpan = _EGGS
    hatching: float = 0.7
    hatching_source: str = COMMON

    def __post_init__(self) -> None:
        if not 0 <= self.hatching <= 1:
            raise ValueError(f"{self.hatching} is no chance")

    def has_egg(self, number: int, laid: int = 0) -> float:
        """The chance that a clutch comes to have egg ``number``, ``laid`` being there already."""
        sizes = range(max(self.eggs.least, laid), max(self.eggs.most, laid) + 1)
        return sum(size >= number for size in sizes) / len(sizes)
