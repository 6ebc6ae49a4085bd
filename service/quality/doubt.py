"""Why a reading is doubted, in words for a keeper. Pure.

A reason is one sentence or more, parted by "; ". Each begins with the words of its kind and a
colon, so that those of one kind can be counted together whatever numbers they name.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from enum import StrEnum


class Doubt(StrEnum):
    """The kinds; each value is what its reasons begin with, or what they all contain."""

    IMPOSSIBLE = "outside what can be"
    RARE = "outside what is usual"
    CLOCK = "the arrival stands in for it"
    POWER_ON = "just switched on"
    SPIKE = "a lone spike"
    JUMP = "a sudden jump"
    STUCK = "perhaps stuck"
    DULL = "hardly moves"
    UNUSUAL = "not as it was here"
    APART = "apart from its neighbours"
    WET = "perhaps wet"
    FAHRENHEIT = "looks like °F"
    BATTERY = "its battery is dying"
    ALONE = "humidity did not follow"


IN_WORDS: Mapping[Doubt, str] = {
    Doubt.IMPOSSIBLE: "outside what can be",
    Doubt.RARE: "outside what is usual",
    Doubt.CLOCK: "with a time that can't be",
    Doubt.POWER_ON: "of a thermometer just switched on",
    Doubt.SPIKE: "sticking out alone",
    Doubt.JUMP: "after a sudden jump",
    Doubt.STUCK: "perhaps stuck",
    Doubt.DULL: "hardly moving",
    Doubt.UNUSUAL: "not as it was here before",
    Doubt.APART: "apart from its neighbours",
    Doubt.WET: "perhaps of a wet sensor",
    Doubt.FAHRENHEIT: "perhaps in °F",
    Doubt.BATTERY: "of a dying battery",
    Doubt.ALONE: "that did not follow the temperature",
}
"""As said of a number of values: "12 perhaps stuck"."""


_NEITHER = "neither 0 nor 1"
"""What is said of a yes or no that is neither."""


def doubts_in(reason: str) -> tuple[Doubt, ...]:
    """The kinds that a stored reason names, each once; empty for words of none of them."""
    found = [_of(part) for part in reason.split("; ")]
    return tuple(dict.fromkeys(one for one in found if one is not None))


def counted(reasons: Iterable[tuple[str, int]]) -> Mapping[Doubt, int]:
    """How many values each kind was said of, from reasons and how often each was given.

    A value that was doubted for two reasons counts for both.
    """
    found: Counter[Doubt] = Counter()
    for reason, times in reasons:
        for doubt in doubts_in(reason):
            found[doubt] += times
    return found


def _of(part: str) -> Doubt | None:
    for doubt in Doubt:
        if part.startswith(f"{doubt}:"):
            return doubt
    if part.endswith(_NEITHER):
        return Doubt.IMPOSSIBLE
    contained = (doubt for doubt in (Doubt.IMPOSSIBLE, Doubt.RARE, Doubt.CLOCK) if doubt in part)
    return next(contained, None)
