"""When the hen began to sit, and so when each egg began to grow. Pure.

An egg keeps until it is warmed: one laid before she sits waits for her, one laid later
begins at once. The keeper's word comes first; then a look that saw her sit, or the eggs with
which hens of the species usually begin, whichever was earlier. A chick tells afterwards: what
hatched was sat on as long ago as hatching takes.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, timedelta, tzinfo

from service.nests.nest import Chick, Clutch, Egg, HenSeen, Nest
from service.nests.span import Span, in_days
from service.nests.species import DaySpan, SpeciesSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    """``why`` is part of a sentence: "sitting from egg 1, 2 or 3, laid 4 to 9 March"."""

    began: Span
    why: str


def laid(egg: Egg) -> Span:
    """Between which two looks the egg was laid."""
    return Span(since=egg.laid_from, until=egg.laid_to)


def hatched(chick: Chick) -> Span:
    """Between which two looks it hatched."""
    return Span(since=chick.hatched_from, until=chick.hatched_to)


def longest_pause(species: SpeciesSettings) -> timedelta:
    """Without an egg for so long, laying has stopped."""
    return timedelta(days=species.complete_after_last_egg.most)


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
    began = _narrowed(by_eggs, _seen(nest, clutch, zone))
    return _by_chicks(clutch, began, species, zone)


def growth_began(egg: Egg, began: Sitting) -> Span:
    """When the egg was both laid and sat on."""
    return laid(egg).or_later(began.began)


def _by_eggs(nest: Nest, clutch: Clutch, species: SpeciesSettings, zone: tzinfo) -> Sitting:
    """From the first egg that she may begin with, to the last: laid, or still to be laid."""
    usual = species.eggs_before_sitting
    last = clutch.eggs[-1]
    if last.number < usual.least and laying_is_over(nest, species):
        span = laid(last)
        return Sitting(
            began=span, why=f"sitting from egg {last.number}, the last, laid {in_days(span, zone)}"
        )
    most = min(usual.most, last.number) if laying_is_over(nest, species) else usual.most
    since = _laid(clutch, usual.least, species).since
    span = Span(since=since, until=_laid(clutch, most, species).until)
    numbers = f"egg {usual.least}" if usual.least == most else f"egg {usual.least} to {most}"
    when = "laid" if most <= last.number else "to be expected"
    return Sitting(began=span, why=f"sitting from {numbers}, {when} {in_days(span, zone)}")


def _laid(clutch: Clutch, number: int, species: SpeciesSettings) -> Span:
    """When that egg was laid; reckoned from the last where it is still to come."""
    if number <= len(clutch.eggs):
        return laid(clutch.eggs[number - 1])
    missing = number - len(clutch.eggs)
    usual = species.next_egg_after_egg
    days = DaySpan(least=usual.least * missing, most=usual.most * missing)
    return laid(clutch.eggs[-1]).after(days)


def _seen(nest: Nest, clutch: Clutch, zone: tzinfo) -> Sitting | None:
    """The first look that saw her sit on eggs, and the last before it that saw her not sit."""
    since = clutch.eggs[0].laid_from
    for check in nest.checks:
        if check.at < since or check.eggs == 0:
            continue
        if check.hen is HenSeen.SITTING:
            span = Span(since=since, until=check.at)
            return Sitting(began=span, why=f"seen sitting on {in_days(_end_of(span), zone)}")
        if check.hen in _SEEN_NOT_TO_SIT:
            since = check.at
    return None


# A hen that was not seen at all may well have sat.
_SEEN_NOT_TO_SIT = (HenSeen.OFF, HenSeen.IN_BOX)


def _narrowed(by_eggs: Sitting, seen: Sitting | None) -> Sitting:
    """What was seen goes before what is usual; both together tell the most."""
    if seen is None:
        return by_eggs
    since = max(by_eggs.began.since, seen.began.since)
    until = min(by_eggs.began.until, seen.began.until)
    if since > until:
        return seen
    why = seen.why if until == seen.began.until else by_eggs.why
    return Sitting(began=Span(since=since, until=until), why=why)


def _by_chicks(clutch: Clutch, before: Sitting, species: SpeciesSettings, zone: tzinfo) -> Sitting:
    """Narrowed by the chicks that are there; as it was where they tell nothing new.

    A chick that came outside the usual days would leave nothing: then it tells nothing.
    """
    since, until, told = before.began.since, before.began.until, None
    for chick, egg in _hatched_here(clutch):
        took = species.hatch_after_sitting
        latest = chick.hatched_to - timedelta(days=took.least)
        earliest = chick.hatched_from - timedelta(days=took.most)
        if latest < until:
            until, told = latest, chick
        if earliest > since and egg.laid_to < earliest:
            since, told = earliest, chick
    if told is None or since > until:
        return before
    came = in_days(hatched(told), zone)
    why = f"{before.why}; chick {told.egg_number}, hatched {came}, tells it closer"
    return Sitting(began=Span(since=since, until=until), why=why)


def _hatched_here(clutch: Clutch) -> Iterator[tuple[Chick, Egg]]:
    """Chicks of eggs that were under this hen alone."""
    for chick in clutch.chicks:
        egg = clutch.eggs[chick.egg_number - 1]
        if not any(move.at < chick.hatched_to for move in egg.moves):
            yield chick, egg


def _end_of(span: Span) -> Span:
    return Span(since=span.until, until=span.until)
