"""What a hen's last clutch tells of her own ways: her interval, her egg, her eggs' days. Pure.

The usual spans are narrowed by what she did, and never widened or left: a hen whose last
clutch lay outside them keeps the usual ones. How far they narrow is a prediction of the next
one from the few there were (Student's t: two-sided 95 %), so few or scattered ones narrow
nothing.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import pairwise
from statistics import fmean, stdev

from service.nests.nest import Chick, Clutch, Egg
from service.nests.sitting import hatched, laid
from service.nests.span import Span
from service.nests.species import DaySpan, EggSpan, SpeciesSettings

# Upper 2.5 % points of Student's t by degrees of freedom, from 2 on: NIST/SEMATECH e-Handbook
# of Statistical Methods, 1.3.6.7.2.
T_975 = (4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201)
LEAST_KNOWN = 3

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """A number of days, known to within ``width`` days."""

    days: float
    width: float


def own_ways(species: SpeciesSettings, before: Clutch | None) -> SpeciesSettings:
    """The species' spans, narrowed by the hen's last clutch where that tells enough."""
    if before is None or not before.eggs:
        return species
    intervals = [_between(laid(one), laid(other)) for one, other in pairwise(before.eggs)]
    return replace(
        species,
        next_egg_after_egg=narrowed(species.next_egg_after_egg, intervals, "intervals"),
        hatch_after_sitting=narrowed(
            species.hatch_after_sitting, _hatching_days(before, species), "hatched eggs"
        ),
        eggs_before_sitting=_her_egg(species.eggs_before_sitting, before, species),
    )


def narrowed(usual: DaySpan, known: Sequence[_Known], noun: str) -> DaySpan:
    """``usual``, cut down to where the next one is to be expected after the ``known`` ones.

    Fewer than three, or ones that lie outside the usual, leave it as it is.
    """
    if len(known) < LEAST_KNOWN:
        return usual
    middle = fmean(one.days for one in known)
    # What lies evenly within a width scatters by its twelfth; looks at even times would hide it.
    unsure = fmean(one.width**2 for one in known) / 12
    scatter = math.sqrt(stdev(one.days for one in known) ** 2 + unsure)
    t = T_975[min(len(known) - 1, len(T_975) + 1) - 2]
    reach = t * scatter * math.sqrt(1 + 1 / len(known))
    least, most = max(usual.least, middle - reach), min(usual.most, middle + reach)
    if least > most or (least, most) == (usual.least, usual.most):
        return usual
    source = f"her last clutch: {len(known)} {noun}, {middle:.1f} days on the average"
    return DaySpan(least=round(least, 2), most=round(most, 2), source=source)


def _between(one: Span, other: Span) -> _Known:
    least, most = (other.since - one.until) / _DAY, (other.until - one.since) / _DAY
    return _Known(days=(least + most) / 2, width=most - least)


def _hatching_days(before: Clutch, species: SpeciesSettings) -> list[_Known]:
    """Of eggs laid under her: how long they took does not hang on when she began to sit."""
    sure = before.sitting_from
    found = []
    for chick, egg in _chicks_of_her_own(before):
        if sure is not None:
            grew = laid(egg).or_later(Span(since=sure, until=sure))
        elif egg.number > species.eggs_before_sitting.most:
            grew = laid(egg)
        else:
            continue
        found.append(_between(grew, hatched(chick)))
    return found


def _her_egg(usual: EggSpan, before: Clutch, species: SpeciesSettings) -> EggSpan:
    """The eggs around the one she began with last time: a hen may begin one sooner or later."""
    fits = [
        number for number in range(usual.least, usual.most + 1) if _fits(number, before, species)
    ]
    if not fits:
        return usual
    least, most = max(usual.least, fits[0] - 1), min(usual.most, fits[-1] + 1)
    if (least, most) == (usual.least, usual.most):
        return usual
    with_egg = f"{fits[0]}" if fits[0] == fits[-1] else f"{fits[0]} to {fits[-1]}"
    source = f"her last clutch: she began with egg {with_egg}"
    return EggSpan(least=least, most=most, source=source)


def _fits(number: int, before: Clutch, species: SpeciesSettings) -> bool:
    """Whether she can have begun with that egg, by the keeper's word or by all her chicks."""
    if number > len(before.eggs):
        return False
    if before.sitting_from is not None:
        surely = sum(egg.laid_to <= before.sitting_from for egg in before.eggs)
        perhaps = sum(egg.laid_from <= before.sitting_from for egg in before.eggs)
        return max(1, surely) <= number <= max(1, perhaps)
    began = laid(before.eggs[number - 1])
    chicks = list(_chicks_of_her_own(before))
    took = species.hatch_after_sitting
    return bool(chicks) and all(
        _overlap(laid(egg).or_later(began).after(took), hatched(chick)) for chick, egg in chicks
    )


def _overlap(one: Span, other: Span) -> bool:
    return one.since <= other.until and other.since <= one.until


def _chicks_of_her_own(clutch: Clutch) -> list[tuple[Chick, Egg]]:
    """Chicks that hatched under her, with their eggs."""
    pairs = [(chick, clutch.eggs[chick.egg_number - 1]) for chick in clutch.chicks]
    return [(chick, egg) for chick, egg in pairs if not egg.moves]
