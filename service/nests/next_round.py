"""The next round begins over the young of the last: hens lay again before these have left. Pure.

From that look on the round before is closed, and what still lives of it is a guest in its own
parents' box: told of, counted and reared there beside the eggs of the next.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from service.nests.compare_guests import guests_told
from service.nests.guests import at_home, chick_of, living_at_home, lying_at_home
from service.nests.nest import Clutch, Egg, EggFate, Guest, GuestSeen, Nest, NestCheck, Weighed
from service.nests.question import Question
from service.nests.sitting import longest_pause
from service.nests.species import SpeciesSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """``check`` and ``nest`` as they read once the round before, ``over``, is closed."""

    check: NestCheck
    nest: Nest
    over: Clutch

    def as_asked(self, question: Question) -> Question:
        """The question with the numbers that the keeper's form has: those of the round before."""
        ours = {egg.id: egg.number for egg in self.over.eggs}
        later = (number + len(ours) for number in question.numbers)
        return replace(
            question,
            numbers=(*(ours[one] for one in question.guests if one in ours), *later),
            guests=tuple(one for one in question.guests if one not in ours),
        )


def overlap(check: NestCheck, nest: Nest, species: SpeciesSettings) -> Overlap | None:
    """The look as the first of the next round; None where it is one of this round.

    An egg is of the next round when a look has shown that laying was over, and the oldest chick
    has been there for longer than an egg of its own sitting could take.
    """
    clutch = nest.clutch
    if clutch is None or clutch.closed_at is not None or not _is_reared(clutch, nest, species):
        return None
    if not living_at_home(clutch):
        return None
    if check.at - _oldest(clutch) < timedelta(days=species.hatch_after_sitting.most):
        return None
    if check.eggs <= _may_still_lie(check, clutch, nest):
        return None
    hide_in_at = clutch.hide_in_at or (check.at if check.hide_in else None)
    over = replace(clutch, closed_at=check.at, hide_in_at=hide_in_at)
    own = (_guest(egg, over, nest) for egg in over.eggs if at_home(egg, over))
    return Overlap(
        check=replace(as_guests(check, over), hide_in=False),
        nest=replace(nest, clutch=replace(over, eggs=(), chicks=()), guests=(*own, *nest.guests)),
        over=over,
    )


def _guest(egg: Egg, over: Clutch, nest: Nest) -> Guest:
    return Guest(clutch=over, egg=egg, chick=chick_of(egg, over), home=nest.box, checks=nest.checks)


def _is_reared(clutch: Clutch, nest: Nest, species: SpeciesSettings) -> bool:
    if not clutch.chicks or not nest.checks:
        return False
    return nest.checks[-1].at - clutch.eggs[-1].laid_to >= longest_pause(species)


def _oldest(clutch: Clutch) -> datetime:
    return min(chick.hatched_to for chick in clutch.chicks)


def _may_still_lie(check: NestCheck, clutch: Clutch, nest: Nest) -> int:
    """The eggs of which the look tells nothing that takes them out of the count."""
    told = {*check.hatched, *(egg.number for egg in check.lost), *check.not_in_sight}
    own = [egg for egg in lying_at_home(clutch) if egg.number not in told]
    return len(own) + len(guests_told(check, nest).eggs_open)


def as_guests(check: NestCheck, over: Clutch) -> NestCheck:
    """The look as the book keeps it: told of guests what was told of the round before by number.

    Numbers after the last of that round are of the next.
    """
    ids = {egg.number: egg.id for egg in over.eggs}
    last = len(over.eggs)
    return replace(
        check,
        hatched=tuple(n - last for n in check.hatched if n not in ids),
        lost=tuple(replace(e, number=e.number - last) for e in check.lost if e.number not in ids),
        candled=tuple(
            replace(e, number=e.number - last) for e in check.candled if e.number not in ids
        ),
        ringed=tuple(
            replace(c, egg_number=c.egg_number - last)
            for c in check.ringed
            if c.egg_number not in ids
        ),
        gone=tuple(
            replace(c, egg_number=c.egg_number - last)
            for c in check.gone
            if c.egg_number not in ids
        ),
        not_in_sight=tuple(n - last for n in check.not_in_sight if n not in ids),
        guests=(*check.guests, *_seen(check, ids)),
        weighed=tuple(_weighed(one, ids, last) for one in check.weighed),
    )


def _seen(check: NestCheck, ids: dict[int, int]) -> Iterator[GuestSeen]:
    lost = {egg.number: egg.fate for egg in check.lost}
    candled = {egg.number: egg.result for egg in check.candled}
    rings = {chick.egg_number: chick.ring for chick in check.ringed}
    gone = {chick.egg_number: chick.fate for chick in check.gone}
    named = {*check.hatched, *lost, *candled, *rings, *gone, *check.not_in_sight}
    for number in sorted(named & ids.keys()):
        fate = lost.get(number)
        yield GuestSeen(
            egg_id=ids[number],
            candled=candled.get(number),
            lost=None if fate is EggFate.HATCHED else fate,
            hatched=number in check.hatched or fate is EggFate.HATCHED,
            ring=rings.get(number),
            gone=gone.get(number),
            not_in_sight=number in check.not_in_sight,
        )


def _weighed(one: Weighed, ids: dict[int, int], last: int) -> Weighed:
    if one.egg_id is not None:
        return one
    if one.egg_number in ids:
        return replace(one, egg_id=ids[one.egg_number])
    return replace(one, egg_number=one.egg_number - last)
