"""The shed as the forecast walks it: what is there, what stage it comes to, what it will need.

Pure. What is only supposed (more pairs, a second round, a week later) is put in here, so that
the forecast itself knows of no "if".
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from service.nests.due import Due, DueKind
from service.nests.nest import Nest
from service.nests.own_ways import own_ways
from service.nests.place import Place, PlaceKind
from service.nests.resting import has_life, still_fed
from service.nests.span import Span
from service.nests.species import SpeciesSettings
from service.nests.stage import Stage, stage
from service.nests.workload.asked import Spot
from service.nests.workload.course import Begin, Course, begins_of, course
from service.nests.workload.foreseen import (
    Foreseen,
    first_egg_of,
    first_of,
    foreseen_in,
    foreseen_of_round,
)
from service.nests.workload.usual_round import UsualRound

MOST_CAGES = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """What is supposed to be otherwise than the book has it.

    ``cages`` is how many have a pair, None for as many as now; more are put up at ``put_up``
    (UTC). ``second_round`` lets every pair go on to another round. ``later`` puts off all pairs
    without an egg, those still to be put up among them.
    """

    cages: int | None = None
    put_up: datetime | None = None
    second_round: bool = False
    later: timedelta = timedelta(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownNest:
    """A nest with its due dates, as the book has them now."""

    nest: Nest
    dues: tuple[Due, ...] = ()

    @property
    def run(self) -> bool:
        """Whether a pair, an egg or a youngster is there to be looked after."""
        return self.nest.pair is not None or has_life(self.nest) or bool(still_fed(self.nest))


@dataclass(frozen=True, slots=True, kw_only=True)
class Supposed:
    """The species' days, what is usual of a round, and what is supposed to be otherwise."""

    species: SpeciesSettings
    usual: UsualRound
    what_if: WhatIf = WhatIf()


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxAhead:
    """A box: the stages to come, and what will fall due in it."""

    spot: Spot
    course: Course
    foreseen: tuple[Foreseen, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CageAhead:
    """A cage with its boxes. It asks for nothing before ``since`` (UTC), None for at once.

    ``run`` says that a pair, an egg or a youngster is there, or will be.
    """

    spot: Spot
    name: str
    boxes: tuple[BoxAhead, ...] = ()
    run: bool = True
    since: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """``others`` are flights, the shed itself, and whatever else duties may be for.

    ``without`` are the names of cages that are supposed to be given up, ``added`` how many pairs
    are supposed to come, ``silent`` the boxes whose pair should have laid and has not.
    """

    cages: tuple[CageAhead, ...]
    others: tuple[Spot, ...]
    without: tuple[str, ...] = ()
    added: int = 0
    silent: tuple[str, ...] = ()


def ground_of(
    places: Sequence[Place], known: Sequence[KnownNest], supposed: Supposed, now: datetime
) -> Ground:
    """``places`` in walking order; ``known`` are the nests of its boxes."""
    nests = {one.nest.box.id: one for one in known}
    cages = tuple(
        _cage(place, places, nests, supposed, now)
        for place in places
        if place.kind is PlaceKind.CAGE
    )
    others = tuple(
        Spot(id=place.id, kind=place.kind)
        for place in places
        if place.kind not in (PlaceKind.CAGE, PlaceKind.BOX, PlaceKind.SURFACE, PlaceKind.JAR)
    )
    ground = Ground(cages=cages, others=others, silent=_silent(known, supposed, now))
    wanted, there = supposed.what_if.cages, runs(ground)
    if wanted is None or wanted == there:
        return ground
    if wanted < there:
        return _with_fewer(ground, there - wanted)
    return _with_more(ground, wanted - there, supposed, now)


def runs(ground: Ground) -> int:
    """How many cages have a pair, or youngsters still to be looked after."""
    return sum(cage.run for cage in ground.cages)


def _cage(
    place: Place,
    places: Sequence[Place],
    nests: dict[str, KnownNest],
    supposed: Supposed,
    now: datetime,
) -> CageAhead:
    boxes = [one for one in places if one.kind is PlaceKind.BOX and one.within == place.id]
    found = [nests[box.id] for box in boxes if box.id in nests]
    return CageAhead(
        spot=Spot(id=place.id, kind=PlaceKind.CAGE),
        name=place.name,
        boxes=tuple(box_ahead(one, supposed, now) for one in found),
        run=any(one.run for one in found),
    )


def box_ahead(known: KnownNest, supposed: Supposed, now: datetime) -> BoxAhead:
    """What the book lets expect of one nest, and what is supposed beside it."""
    nest, species = known.nest, own_ways(supposed.species, known.nest.before)
    present = stage(nest, now, supposed.species)
    rest = Stage.EMPTY if nest.pair is None else Stage.PAIRED
    first_egg = None
    if present is Stage.PAIRED:
        first_egg = _put_off(first_egg_of(nest, now, supposed.usual), supposed.what_if.later)
    if first_egg is None:
        foreseen = foreseen_in(nest, known.dues, species, supposed.usual)
    else:
        foreseen = foreseen_of_round(nest.box.id, first_egg, species, supposed.usual)
    begins = begins_of(present, foreseen, first_egg=first_egg, rest=rest)
    if supposed.what_if.second_round and nest.pair is not None and nest.off_since is None:
        out = first_of(foreseen, DueKind.FLEDGE)
        if out is None and _between_rounds(nest, present):
            out = Span(since=now, until=now)
        begins, foreseen = _and_again(nest.box.id, out, begins, foreseen, supposed)
    return BoxAhead(
        spot=Spot(id=nest.box.id, kind=PlaceKind.BOX, off=nest.off_since is not None),
        course=course(present, begins),
        foreseen=foreseen,
    )


def new_pair(put_up: datetime, supposed: Supposed, box: str | None = None) -> BoxAhead:
    """A box whose pair is put up at that moment (UTC)."""
    up = Span(since=put_up, until=put_up)
    first_egg = up.after(supposed.usual.first_egg_after_pairing)
    name = box or ""
    foreseen = foreseen_of_round(name, first_egg, supposed.species, supposed.usual)
    begins = (
        Begin(stage=Stage.PAIRED, span=up),
        *begins_of(Stage.PAIRED, foreseen, first_egg=first_egg, rest=Stage.PAIRED),
    )
    if supposed.what_if.second_round:
        out = first_of(foreseen, DueKind.FLEDGE)
        begins, foreseen = _and_again(name, out, begins, foreseen, supposed)
    return BoxAhead(
        spot=Spot(id=box, kind=PlaceKind.BOX),
        course=course(Stage.EMPTY, begins),
        foreseen=foreseen,
    )


def _between_rounds(nest: Nest, present: Stage) -> bool:
    return present is Stage.LEAVING or (present is Stage.PAIRED and nest.clutch is not None)


def _and_again(
    box: str,
    out: Span | None,
    begins: tuple[Begin, ...],
    foreseen: tuple[Foreseen, ...],
    supposed: Supposed,
) -> tuple[tuple[Begin, ...], tuple[Foreseen, ...]]:
    """Another round after the one that is foreseen; the box stays on for it."""
    if out is None:
        return begins, foreseen
    first_egg = out.after(supposed.usual.again_after_first_out)
    more = foreseen_of_round(box, first_egg, supposed.species, supposed.usual)
    stays = tuple(one for one in foreseen if one.kind is not DueKind.BOX_OFF)
    again = begins_of(Stage.PAIRED, more, first_egg=first_egg, rest=Stage.PAIRED)
    return (*begins, *again), (*stays, *more)


def _put_off(first_egg: Span | None, later: timedelta) -> Span | None:
    if first_egg is None:
        return None
    return Span(since=first_egg.since + later, until=first_egg.until + later)


def _silent(known: Sequence[KnownNest], supposed: Supposed, now: datetime) -> tuple[str, ...]:
    return tuple(
        one.nest.box.name
        for one in known
        if one.nest.pair is not None
        and stage(one.nest, now, supposed.species) is Stage.PAIRED
        and first_egg_of(one.nest, now, supposed.usual) is None
    )


def _with_fewer(ground: Ground, number: int) -> Ground:
    """Without the last of the walk that have a pair: nobody lives there then."""
    given_up = [cage for cage in ground.cages if cage.run][-number:]
    return replace(
        ground,
        cages=tuple(cage for cage in ground.cages if cage not in given_up),
        without=tuple(cage.name for cage in given_up),
    )


def _with_more(ground: Ground, number: int, supposed: Supposed, now: datetime) -> Ground:
    """New pairs go into cages that stand empty, then into further ones."""
    put_up = (supposed.what_if.put_up or now) + supposed.what_if.later
    left, cages = number, []
    for cage in ground.cages:
        if cage.run or not left:
            cages.append(cage)
            continue
        boxes = tuple(new_pair(put_up, supposed, one.spot.id) for one in cage.boxes[:1])
        boxes = boxes or (new_pair(put_up, supposed),)
        cages.append(replace(cage, boxes=(*boxes, *cage.boxes[1:]), run=True))
        left -= 1
    further = CageAhead(
        spot=Spot(id=None, kind=PlaceKind.CAGE),
        name="one more cage",
        boxes=(new_pair(put_up, supposed),),
        since=put_up,
    )
    return replace(ground, cages=(*cages, *[further] * left), added=number)
