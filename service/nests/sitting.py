"""When the hen began to sit, and so when each egg began to grow. Pure.

An egg keeps until it is warmed: one laid before she sits waits for her, one laid later
begins at once. The keeper's word comes first; then the first look that saw her sit, or the
egg with which hens of the species usually begin, whichever was earlier.
"""

from dataclasses import dataclass
from datetime import UTC, timedelta, tzinfo

from service.nests.nest import Clutch, Egg, HenSeen, Nest
from service.nests.span import Span, in_days
from service.nests.species import DaySpan, SpeciesSettings

LAYING_IS_OVER_AFTER_SPANS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    """``why`` is part of a sentence: "sitting from egg 2, laid 4 to 5 March"."""

    began: Span
    why: str


def laid(egg: Egg) -> Span:
    """Between which two looks the egg was laid."""
    return Span(since=egg.laid_from, until=egg.laid_to)


def longest_pause(species: SpeciesSettings) -> timedelta:
    """Without an egg for so long, laying has stopped."""
    return timedelta(days=species.next_egg_after_egg.most * LAYING_IS_OVER_AFTER_SPANS)


def laying_is_over(nest: Nest, species: SpeciesSettings) -> bool:
    """Whether a look has shown that no more eggs come: a chick, or a long time without one.

    Where nobody looked nothing was shown: the next egg stays expected.
    """
    clutch = nest.clutch
    if clutch is None or not clutch.eggs or clutch.closed_at is not None:
        return True
    if clutch.chicks:
        return True
    if not nest.checks:
        return False
    return nest.checks[-1].at - clutch.eggs[-1].laid_to >= longest_pause(species)


def sitting(nest: Nest, species: SpeciesSettings, zone: tzinfo = UTC) -> Sitting | None:
    """When the hen began, or will begin, to sit; None without an egg."""
    clutch = nest.clutch
    if clutch is None or not clutch.eggs:
        return None
    if clutch.sitting_from is not None:
        told = Span(since=clutch.sitting_from, until=clutch.sitting_from)
        return Sitting(began=told, why=f"sitting from {in_days(told, zone)}, as you said")
    by_eggs = _by_eggs(nest, clutch, species, zone)
    seen = _seen(nest, clutch, zone)
    if seen is not None and seen.began.until < by_eggs.began.until:
        return seen
    return by_eggs


def growth_began(egg: Egg, began: Sitting) -> Span:
    """When the egg was both laid and sat on."""
    return laid(egg).or_later(began.began)


def _by_eggs(nest: Nest, clutch: Clutch, species: SpeciesSettings, zone: tzinfo) -> Sitting:
    number = species.eggs_before_sitting
    if len(clutch.eggs) >= number:
        span = laid(clutch.eggs[number - 1])
        return Sitting(began=span, why=f"sitting from egg {number}, laid {in_days(span, zone)}")
    last = clutch.eggs[-1]
    if laying_is_over(nest, species):
        span = laid(last)
        return Sitting(
            began=span, why=f"sitting from egg {last.number}, the last, laid {in_days(span, zone)}"
        )
    missing = number - len(clutch.eggs)
    usual = species.next_egg_after_egg
    span = laid(last).after(DaySpan(least=usual.least * missing, most=usual.most * missing))
    return Sitting(
        began=span, why=f"sitting from egg {number}, to be expected {in_days(span, zone)}"
    )


def _seen(nest: Nest, clutch: Clutch, zone: tzinfo) -> Sitting | None:
    """The first look that saw her sit on eggs, and the look before it."""
    since = clutch.eggs[0].laid_from
    for check in nest.checks:
        if check.at < since:
            continue
        if check.hen is HenSeen.SITTING and check.eggs > 0:
            span = Span(since=since, until=check.at)
            return Sitting(began=span, why=f"seen sitting on {in_days(_end_of(span), zone)}")
        since = check.at
    return None


def _end_of(span: Span) -> Span:
    return Span(since=span.until, until=span.until)
