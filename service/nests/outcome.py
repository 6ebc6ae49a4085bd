"""The clutch as it stands after a check that agrees with its history. Pure."""

from dataclasses import replace
from datetime import datetime, timedelta

from service.nests.compare_counts import Reckoned, last_look_without
from service.nests.compare_names import named_lost
from service.nests.guests import chicks_at_home, lying_at_home
from service.nests.laying import laid_between
from service.nests.nest import Chick, Clutch, Egg, EggFate, HenSeen, Nest, NestCheck
from service.nests.sitting import longest_pause
from service.nests.span import Span
from service.nests.species import SpeciesSettings


def write_outcome(
    check: NestCheck, before: Clutch, reckoned: Reckoned, nest: Nest, species: SpeciesSettings
) -> tuple[Clutch | None, tuple[str, ...]]:
    """The clutch after the check (None where no egg was ever laid) and what changed."""
    new = _new_eggs(check, before, reckoned, nest, species)
    eggs = tuple(
        _after_look(egg, check, reckoned.hatched, last_look_at(nest, number=egg.number))
        for egg in (*before.eggs, *new)
    )
    if not eggs:
        return None, ()
    chicks = (
        *before.chicks,
        *(
            _hatch(eggs[number - 1], check.at, last_look_at(nest, number=number), species)
            for number in reckoned.hatched
        ),
    )
    after = replace(
        before,
        eggs=eggs,
        chicks=tuple(_chick_after_look(chick, check) for chick in chicks),
        hide_in_at=before.hide_in_at or (check.at if check.hide_in else None),
    )
    if before.closed_at is None and _is_over(after, check.at, species):
        after = replace(after, closed_at=check.at)
    return after, tuple(_changes(check, before, after, nest))


def _new_eggs(
    check: NestCheck, before: Clutch, reckoned: Reckoned, nest: Nest, species: SpeciesSettings
) -> tuple[Egg, ...]:
    known = len(before.eggs)
    since = last_look_without(nest, check.at)
    interval = species.next_egg_after_egg
    # Eggs up to the last that is a chick already were laid as long ago as hatching takes.
    early = max((number - known for number in reckoned.hatched), default=0)
    spans: tuple[Span, ...] = ()
    if early > 0:
        until = check.at - timedelta(days=species.hatch_after_sitting.least)
        spans = laid_between(early, since, max(until, since or until), interval)
        since = spans[-1].since
    if reckoned.new_eggs > len(spans):
        spans += laid_between(reckoned.new_eggs - len(spans), since, check.at, interval)
    return tuple(
        Egg(id=0, number=known + place, laid_from=span.since, laid_to=span.until)
        for place, span in enumerate(spans, start=1)
    )


def _after_look(
    egg: Egg, check: NestCheck, hatched: tuple[int, ...], last_look: datetime | None
) -> Egg:
    for candled in check.candled:
        if candled.number == egg.number:
            egg = replace(egg, candling=candled.result, candled_at=check.at)
    fate = EggFate.HATCHED if egg.number in hatched else named_lost(check).get(egg.number)
    if fate is None:
        return egg
    return replace(egg, fate=fate, fate_from=last_known(egg, last_look), fate_to=check.at)


def last_look_at(
    nest: Nest, *, number: int | None = None, egg_id: int | None = None
) -> datetime | None:
    """The last look that saw an own egg (by number) or a guest's (by id); None without one.

    One that was not in sight was not looked at.
    """
    for check in reversed(nest.checks):
        guests = {seen.egg_id for seen in check.guests if seen.not_in_sight}
        if number not in check.not_in_sight and egg_id not in guests:
            return check.at
    return None


def last_known(egg: Egg, last_look: datetime | None) -> datetime:
    """When the egg was last known to be one: laid, looked at, or moved."""
    moved = egg.moves[-1].at if egg.moves else egg.laid_from
    return max(last_look or egg.laid_from, egg.laid_from, moved)


def _hatch(egg: Egg, at: datetime, last_look: datetime | None, species: SpeciesSettings) -> Chick:
    since = egg.fate_from or egg.laid_from
    if last_look is None:
        shortest = timedelta(days=species.hatch_after_sitting.least)
        since = min(at, egg.laid_from + shortest)
    return Chick(id=0, egg_number=egg.number, hatched_from=since, hatched_to=at)


def _chick_after_look(chick: Chick, check: NestCheck) -> Chick:
    for ringed in check.ringed:
        if ringed.egg_number == chick.egg_number:
            chick = replace(chick, ring=ringed.ring.strip(), ringed_at=check.at)
    for gone in check.gone:
        if gone.egg_number == chick.egg_number:
            chick = replace(chick, fate=gone.fate, fate_at=check.at)
    return chick


def _is_over(clutch: Clutch, at: datetime, species: SpeciesSettings) -> bool:
    """Nothing of it is in the box any more, and no further egg of this clutch is to come."""
    if lying_at_home(clutch) or chicks_at_home(clutch):
        return False
    return bool(clutch.chicks) or at - clutch.eggs[-1].laid_to >= longest_pause(species)


def _changes(check: NestCheck, before: Clutch, after: Clutch, nest: Nest) -> list[str]:
    known = len(before.eggs)
    told = [f"round {after.round} begins"] if not known else []
    told += [f"egg {egg.number} found" for egg in after.eggs[known:]]
    told += [f"egg {number} not in sight" for number in sorted(check.not_in_sight)]
    told += [f"egg {egg.number} candled: {egg.result}" for egg in check.candled]
    was = {egg.number: egg.fate for egg in before.eggs}
    told += [
        f"egg {egg.number} {egg.fate}" for egg in after.eggs if egg.fate is not was.get(egg.number)
    ]
    told += [f"chick {chick.egg_number} ringed {chick.ring.strip()}" for chick in check.ringed]
    told += [f"chick {chick.egg_number} {chick.fate}" for chick in check.gone]
    if check.hen is HenSeen.SITTING and not _sat_before(nest, before):
        told.append("the hen sits")
    if after.hide_in_at is not None and before.hide_in_at is None:
        told.append("somewhere to hide is in")
    if after.closed_at is not None and before.closed_at is None:
        told.append(f"round {after.round} is over")
    return told


def _sat_before(nest: Nest, before: Clutch) -> bool:
    if not before.eggs:
        return False
    began = before.eggs[0].laid_from
    return any(seen.hen is HenSeen.SITTING and seen.at >= began for seen in nest.checks)
