"""What a look into a box may find, or should bring, today. Pure.

Nothing is stored: it follows from the due dates and from what lies there. What is not expected
may happen all the same; here stands only what today is the day for.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta, tzinfo
from enum import StrEnum

from service.nests.due import Due, DueKind
from service.nests.due_dates import due_dates
from service.nests.guests import chick_of
from service.nests.hatching import may_hatch
from service.nests.laying import most_eggs_between
from service.nests.nest import Candling, Chick, ChickFate, Egg, Nest
from service.nests.own_ways import own_ways
from service.nests.residents import residents
from service.nests.resting import sleeps
from service.nests.sitting import laid, laying_is_over
from service.nests.span import Span
from service.nests.species import DaySpan, SpeciesSettings

MOST_NEW_EGGS = 3
"""So many new eggs are offered singly; more than that is counted."""


class Sight(StrEnum):
    """What is expected to be seen or done."""

    NEW_EGG = "new egg"
    HATCHED = "hatched"
    CANDLE = "candle"
    RING = "ring"
    HIDE_IN = "hide in"
    OUT = "out of the box"
    WEANED = "feeds itself"


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """From ``since`` to ``until`` (UTC) it is to be expected; None where nobody can tell.

    ``egg_number`` is None for what concerns the whole box, ``egg_id`` for what is still to be
    laid. ``laid_in`` is the box of a guest's own clutch, None for those laid here.
    """

    sight: Sight
    why: str
    egg_number: int | None = None
    egg_id: int | None = None
    laid_in: str | None = None
    since: datetime | None = None
    until: datetime | None = None


_SIGHTS = {
    DueKind.HATCH: Sight.HATCHED,
    DueKind.CANDLE: Sight.CANDLE,
    DueKind.RING: Sight.RING,
    DueKind.HIDE_IN: Sight.HIDE_IN,
    DueKind.FLEDGE: Sight.OUT,
    DueKind.INDEPENDENT: Sight.WEANED,
}
_ORDER = tuple(Sight)


def expected(
    nest: Nest, species: SpeciesSettings, now: datetime, zone: tzinfo = UTC
) -> tuple[Expected, ...]:
    """All that is due by the end of the shed's day, late or not, in the order of a look.

    A span that is still to begin is left out; what only follows "if it hatches" too. ``zone`` is
    the shed's.
    """
    if sleeps(nest):
        return ()
    tonight = _end_of_day(now, zone)
    begun = [due for due in due_dates(nest, species, now, zone) if due.since < tonight]
    found = [*_new_eggs(nest, species, begun, now), *_of_dues(nest, begun)]
    if not any(one.sight is Sight.CANDLE for one in found):
        found += _unsure(nest, now, species)
    return tuple(sorted(found, key=lambda one: _ORDER.index(one.sight)))


def to_candle(nest: Nest, now: datetime, species: SpeciesSettings) -> tuple[Egg, ...]:
    """The eggs that a light has not told of yet, or not surely: own ones first, then guests.

    One that is about to hatch is not held to a light any more.
    """
    own = own_ways(species, nest.before)
    return tuple(
        one.egg
        for one in residents(nest, own, of_guests=species)
        if may_hatch(one.egg)
        and one.egg.candling in (None, Candling.UNSURE)
        and one.grew.after((own if one.home is None else species).hatch_after_sitting).since > now
    )


def _new_eggs(
    nest: Nest, species: SpeciesSettings, dues: Sequence[Due], now: datetime
) -> Iterator[Expected]:
    """As many as one hen can have laid since the last look; one for the rest of today."""
    if nest.off_since is not None:
        return
    if laying_is_over(nest, species):
        yield from _first_egg(nest)
        return
    usual = own_ways(species, nest.before).next_egg_after_egg
    for due in dues:
        if due.kind is not DueKind.NEXT_EGG or due.egg_number is None or nest.clutch is None:
            continue
        last = laid(nest.clutch.eggs[-1])
        since = nest.checks[-1].at if nest.checks else last.until
        most = min(MOST_NEW_EGGS, most_eggs_between(since, now, usual))
        spans = [_after(last, usual, more + 1) for more in range(most)]
        for more, span in enumerate(spans):
            if more == 0 or span.since <= now:
                yield Expected(
                    sight=Sight.NEW_EGG,
                    why=due.why,
                    egg_number=due.egg_number + more,
                    since=span.since,
                    until=span.until,
                )


def _unsure(nest: Nest, now: datetime, species: SpeciesSettings) -> Iterator[Expected]:
    """What the light left open can be looked at again any day; it is not due."""
    eggs = [egg for egg in to_candle(nest, now, species) if egg.candling is Candling.UNSURE]
    if eggs:
        yield Expected(sight=Sight.CANDLE, why=f"egg {eggs[0].number} was unsure in the light")


def _after(last: Span, usual: DaySpan, times: int) -> Span:
    return last.after(DaySpan(least=usual.least * times, most=usual.most * times))


def _first_egg(nest: Nest) -> Iterator[Expected]:
    """A pair with an empty box may begin any day; nobody can tell which."""
    clutch = nest.clutch
    if nest.pair is None or (clutch is not None and clutch.closed_at is None):
        return
    yield Expected(
        sight=Sight.NEW_EGG,
        why="a pair is put up, and nothing of theirs lies in the box",
        egg_number=1,
    )


def _of_dues(nest: Nest, dues: Sequence[Due]) -> Iterator[Expected]:
    chicks = dict(_chicks(nest))
    for due in dues:
        sight = _SIGHTS.get(due.kind)
        if sight is None or not _may_be_seen(sight, due, chicks):
            continue
        yield Expected(
            sight=sight,
            why=due.why,
            egg_number=due.egg_number,
            egg_id=due.egg_id,
            laid_in=due.laid_in,
            since=due.since,
            until=due.until,
        )


def _may_be_seen(sight: Sight, due: Due, chicks: dict[int, Chick]) -> bool:
    """Whether the thing has come so far: a ring needs a chick, and to feed itself it is out."""
    if sight in (Sight.HATCHED, Sight.CANDLE, Sight.HIDE_IN):
        return True
    chick = chicks.get(due.egg_id or 0)
    if chick is None:
        return False
    if sight is Sight.WEANED:
        return chick.fate is ChickFate.FLEDGED
    return sight is Sight.OUT or chick.fate is None


def _chicks(nest: Nest) -> Iterator[tuple[int, Chick]]:
    """By the ids of their eggs. Those of the round before are told of elsewhere."""
    for egg in nest.clutch.eggs if nest.clutch else ():
        chick = chick_of(egg, nest.clutch) if nest.clutch else None
        if chick is not None:
            yield egg.id, chick
    for guest in nest.guests:
        if guest.chick is not None:
            yield guest.egg.id, guest.chick


def _end_of_day(now: datetime, zone: tzinfo) -> datetime:
    tomorrow = now.astimezone(zone).date() + timedelta(days=1)
    return datetime.combine(tomorrow, time(), zone).astimezone(UTC)
