"""Which eggs the keeper carries to another hen: where many lie, to where few do. Pure.

Common practice, no source: soon after laying is over, under a hen that began to sit at about
the same time.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from simulated_feeds.birds.states import DAY_S, EggState, NestState

_LIKE_S = 5 * DAY_S
_YOUNG = 0.4


@dataclass(frozen=True, slots=True)
class Carry:
    """One egg, tomorrow evening."""

    egg: EggState
    from_nest: NestState
    to_nest: NestState


def carries(nests: Sequence[NestState], most_eggs: int) -> list[Carry]:
    """What to carry, as long as embryos are young: from the last egg found on, for some days."""
    found: list[Carry] = []
    if most_eggs <= 0:
        return found
    lying = {nest.box: len(nest.eggs) for nest in nests}
    whole = [nest for nest in nests if _is_whole(nest)]
    for nest in whole:
        own = [egg for egg in nest.eggs if _may_go(egg)]
        while own and lying[nest.box] > most_eggs:
            able = [to for to in whole if _would_do(nest, to) and lying[to.box] <= most_eggs - 2]
            if not able:
                break
            to = min(able, key=lambda other: lying[other.box])
            found.append(Carry(own.pop(), nest, to))
            lying[nest.box] -= 1
            lying[to.box] += 1
    return found


def _is_whole(nest: NestState) -> bool:
    """Laying is over, and every egg was found."""
    clutch = nest.clutch
    if clutch is None or nest.lay_s is not None or clutch.sitting_s is None:
        return False
    return bool(nest.eggs) and all(egg.found_s is not None for egg in clutch.eggs)


def _may_go(egg: EggState) -> bool:
    return not egg.hidden and not egg.moves and egg.scripted is None and egg.progress < _YOUNG


def _would_do(nest: NestState, to: NestState) -> bool:
    """Whether that hen began to sit at about the same time, and has no chicks yet."""
    here = nest.clutch.sitting_s if nest.clutch is not None else None
    there = to.clutch.sitting_s if to.clutch is not None else None
    if here is None or there is None or to is nest or to.chicks:
        return False
    return abs(there - here) <= _LIKE_S
