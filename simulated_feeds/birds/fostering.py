"""Which eggs the keeper carries to another hen: where many lie, to where few do. Pure.

Common practice, no source: soon after laying is over, under a hen that began to sit at about
the same time.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from simulated_feeds.birds.states import DAY_S, EggState, NestState

_LIKE_S = 5 * DAY_S
_YOUNG = 0.6


@dataclass(frozen=True, slots=True)
class Carry:
    """One egg, tomorrow evening."""

    egg: EggState
    from_nest: NestState
    to_nest: NestState


def carries(nests: Sequence[NestState], most_eggs: int) -> list[Carry]:
    """What to carry. Each clutch is considered once, when its last egg was found."""
    found: list[Carry] = []
    if most_eggs <= 0:
        return found
    for nest in nests:
        clutch = nest.clutch
        if clutch is None or clutch.considered or not _is_whole(nest):
            continue
        clutch.considered = True
        own = [egg for egg in nest.eggs if _may_go(egg)]
        while len(own) > most_eggs and (to := _hen_with_few(nest, nests, most_eggs)) is not None:
            found.append(Carry(own.pop(), nest, to))
    return found


def _is_whole(nest: NestState) -> bool:
    clutch = nest.clutch
    if clutch is None or nest.lay_s is not None or clutch.sitting_s is None:
        return False
    return all(egg.found_s is not None for egg in clutch.eggs)


def _may_go(egg: EggState) -> bool:
    return not egg.hidden and not egg.moves and egg.scripted is None and egg.progress < _YOUNG


def _hen_with_few(nest: NestState, nests: Sequence[NestState], most_eggs: int) -> NestState | None:
    since = nest.clutch.sitting_s if nest.clutch is not None else None
    able = [
        other
        for other in nests
        if other is not nest
        and other.clutch is not None
        and other.clutch.considered
        and other.clutch.sitting_s is not None
        and since is not None
        and abs(other.clutch.sitting_s - since) <= _LIKE_S
        and not other.chicks
        and 0 < len(other.eggs) <= most_eggs - 2
    ]
    return min(able, key=lambda other: len(other.eggs), default=None)
