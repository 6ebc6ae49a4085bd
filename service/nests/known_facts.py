"""The facts of a nest in the order in which they became known, and the nest before each. Pure.

An egg is known from the look that found it, a fate from the look that saw it, a move from its
own instant, the keeper's word on sitting from when it was said.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, tzinfo
from enum import IntEnum

from service.nests.nest import Chick, Clutch, Egg, EggFate, Guest, HenSeen, Nest
from service.nests.place import Place, PlaceKind
from service.nests.residents import home_in_words
from service.nests.sitting import longest_pause
from service.nests.span import Span, in_days
from service.nests.species import SpeciesSettings


class FactKind(IntEnum):
    """In the order in which facts of one instant are taken in."""

    CAME = 0
    FOUND = 1
    CANDLED = 2
    FATE = 3
    RINGED = 4
    GONE = 5
    MOVED = 6
    HIDE = 7
    LOOK = 8
    CLOSED = 9
    SAT = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """``of`` is an egg's id, a move's id or the place of a look. Without ``words`` it moves
    no date by itself.
    """

    at: datetime
    kind: FactKind
    of: int = 0
    words: str = ""


def known_facts(
    nest: Nest,
    species: SpeciesSettings,
    now: datetime,
    zone: tzinfo = UTC,
    *,
    sat_told_at: datetime | None = None,
) -> tuple[Fact, ...]:
    """All facts of the nest, oldest first.

    ``sat_told_at`` is when the keeper said from when she sat; ``now`` where nobody knows.
    """
    facts = [*_of_guests(nest, zone), *_of_looks(nest, species, zone)]
    clutch = nest.clutch
    if clutch is not None:
        facts += _of_clutch(clutch, zone)
        if clutch.sitting_from is not None:
            words = f"you said that she sat from {_on(clutch.sitting_from, zone)}"
            facts.append(Fact(at=sat_told_at or now, kind=FactKind.SAT, words=words))
    return tuple(sorted(facts, key=lambda fact: (fact.at, fact.kind, fact.of)))


def nest_known_by(nest: Nest, known: frozenset[tuple[FactKind, int]]) -> Nest:
    """The nest as it stood when only the ``known`` facts (kind and of) were."""
    clutch = nest.clutch
    return replace(
        nest,
        clutch=None if clutch is None else _clutch_known_by(clutch, known),
        checks=tuple(
            check for place, check in enumerate(nest.checks) if (FactKind.LOOK, place) in known
        ),
        guests=tuple(
            _guest_known_by(guest, known)
            for guest in nest.guests
            if (FactKind.CAME, guest.egg.id) in known
        ),
    )


def _of_clutch(clutch: Clutch, zone: tzinfo) -> Iterator[Fact]:
    chicks = {chick.egg_number: chick for chick in clutch.chicks}
    for egg in clutch.eggs:
        words = f"egg {egg.number}"
        yield Fact(
            at=egg.laid_to,
            kind=FactKind.FOUND,
            of=egg.id,
            words=f"{words} was found on {_on(egg.laid_to, zone)}",
        )
        yield from _of_egg(egg, chicks.get(egg.number), words, zone)
        for move in egg.moves:
            told = f"{words} was moved on {_on(move.at, zone)}"
            yield Fact(at=move.at, kind=FactKind.MOVED, of=move.id, words=told)
    if clutch.hide_in_at is not None:
        yield Fact(at=clutch.hide_in_at, kind=FactKind.HIDE)
    if clutch.closed_at is not None:
        yield Fact(at=clutch.closed_at, kind=FactKind.CLOSED)


def _of_egg(egg: Egg, chick: Chick | None, words: str, zone: tzinfo) -> Iterator[Fact]:
    if egg.candled_at is not None:
        told = f"{words} was candled on {_on(egg.candled_at, zone)}: {egg.candling}"
        yield Fact(at=egg.candled_at, kind=FactKind.CANDLED, of=egg.id, words=told)
    if egg.fate is not None:
        at = egg.fate_to or egg.laid_to
        told = f"{words} was found {egg.fate} on {_on(at, zone)}"
        yield Fact(at=at, kind=FactKind.FATE, of=egg.id, words=told)
    if chick is not None and chick.ringed_at is not None:
        told = f"chick {egg.number} was ringed on {_on(chick.ringed_at, zone)}"
        yield Fact(at=chick.ringed_at, kind=FactKind.RINGED, of=egg.id, words=told)
    if chick is not None and chick.fate_at is not None:
        told = f"chick {egg.number} {chick.fate} on {_on(chick.fate_at, zone)}"
        yield Fact(at=chick.fate_at, kind=FactKind.GONE, of=egg.id, words=told)


def _of_guests(nest: Nest, zone: tzinfo) -> Iterator[Fact]:
    for guest in nest.guests:
        box, clutch = guest.clutch.box, guest.clutch
        home = guest.home or Place(id=box, kind=PlaceKind.BOX, name=box)
        words = f"egg {guest.egg.number} of {home_in_words(home, guest.egg, clutch)}"
        came = guest.egg.moves[-1].at if guest.egg.moves else guest.egg.laid_to
        told = f"{words} came on {_on(came, zone)}"
        yield Fact(at=came, kind=FactKind.CAME, of=guest.egg.id, words=told)
        yield from _of_egg(guest.egg, guest.chick, words, zone)


def _of_looks(nest: Nest, species: SpeciesSettings, zone: tzinfo) -> Iterator[Fact]:
    """Every look; with words the first that saw her sit and the first after a long pause."""
    last = nest.clutch.eggs[-1].laid_to if nest.clutch and nest.clutch.eggs else None
    sat = paused = False
    for place, check in enumerate(nest.checks):
        words = ""
        if not sat and check.hen is HenSeen.SITTING and check.eggs > 0:
            sat, words = True, f"she was seen sitting on {_on(check.at, zone)}"
        elif not paused and last is not None and check.at - last >= longest_pause(species):
            paused, words = True, f"no new egg was found until {_on(check.at, zone)}"
        yield Fact(at=check.at, kind=FactKind.LOOK, of=place, words=words)


def _clutch_known_by(clutch: Clutch, known: frozenset[tuple[FactKind, int]]) -> Clutch | None:
    eggs = tuple(
        _egg_known_by(egg, known) for egg in clutch.eggs if (FactKind.FOUND, egg.id) in known
    )
    if not eggs:
        return None
    hatched = {egg.number: egg.id for egg in eggs if egg.fate is EggFate.HATCHED}
    return replace(
        clutch,
        eggs=eggs,
        chicks=tuple(
            _chick_known_by(chick, hatched[chick.egg_number], known)
            for chick in clutch.chicks
            if chick.egg_number in hatched
        ),
        sitting_from=clutch.sitting_from if (FactKind.SAT, 0) in known else None,
        hide_in_at=clutch.hide_in_at if (FactKind.HIDE, 0) in known else None,
        closed_at=clutch.closed_at if (FactKind.CLOSED, 0) in known else None,
    )


def _egg_known_by(egg: Egg, known: frozenset[tuple[FactKind, int]]) -> Egg:
    if (FactKind.CANDLED, egg.id) not in known:
        egg = replace(egg, candling=None, candled_at=None)
    if (FactKind.FATE, egg.id) not in known:
        egg = replace(egg, fate=None, fate_from=None, fate_to=None)
    if not egg.moves:
        return egg
    return replace(egg, moves=tuple(m for m in egg.moves if (FactKind.MOVED, m.id) in known))


def _chick_known_by(chick: Chick, egg_id: int, known: frozenset[tuple[FactKind, int]]) -> Chick:
    if chick.ringed_at is not None and (FactKind.RINGED, egg_id) not in known:
        chick = replace(chick, ring=None, ringed_at=None)
    if chick.fate_at is not None and (FactKind.GONE, egg_id) not in known:
        chick = replace(chick, fate=None, fate_at=None)
    return chick


def _guest_known_by(guest: Guest, known: frozenset[tuple[FactKind, int]]) -> Guest:
    moves = guest.egg.moves
    egg = replace(_egg_known_by(replace(guest.egg, moves=()), known), moves=moves)
    chick = guest.chick if egg.fate is EggFate.HATCHED else None
    if chick is not None:
        chick = _chick_known_by(chick, egg.id, known)
    return replace(guest, egg=egg, chick=chick)


def _on(at: datetime, zone: tzinfo) -> str:
    return in_days(Span(since=at, until=at), zone)
