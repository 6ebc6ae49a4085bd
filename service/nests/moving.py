"""Moving an egg or a chick into another box: why it can't be, and what is doubtful. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo

from service.nests.guests import chick_of, is_over
from service.nests.nest import Chick, Clutch, Egg, Move, Nest

CLOCKS_MAY_DIFFER_BY = timedelta(minutes=5)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveTold:
    """An egg of ``clutch``, or its chick, is to go into the box of ``into``, from ``out_of``."""

    clutch: Clutch
    egg: Egg
    out_of: Nest
    into: Nest
    at: datetime

    @property
    def chick(self) -> Chick | None:
        """The chick, if the egg has hatched."""
        return chick_of(self.egg, self.clutch)

    @property
    def words(self) -> str:
        """``Egg 3`` or ``Chick 3``."""
        return f"{'Egg' if self.chick is None else 'Chick'} {self.egg.number}"


def why_not(told: MoveTold, now: datetime, zone: tzinfo = UTC) -> str | None:
    """The first reason why this move can't have been, as a sentence; None where it can."""
    return next(_reasons(told, now, zone), None)


def doubts(told: MoveTold) -> Iterator[str]:
    """What may be so, and is asked before it is taken."""
    if told.into.pair is None:
        yield f"No pair is put up at {told.into.box.name}: nobody would sit there. Is it so?"
    if told.into.off_since is not None:
        yield f"{told.into.box.name} was taken off. Is it so?"


def reopens(told: MoveTold) -> bool:
    """Whether a clutch that was over goes on: one of it comes home, before the next began."""
    shown = told.into.clutch
    return told.into.box.id == told.clutch.box and shown is not None and shown.id == told.clutch.id


def moved(clutch: Clutch, egg_id: int, move: Move, *, reopened: bool) -> Clutch:
    """The clutch with one more move of one of its eggs; see ``reopens``."""
    eggs = tuple(
        replace(egg, moves=(*egg.moves, move)) if egg.id == egg_id else egg for egg in clutch.eggs
    )
    return replace(clutch, eggs=eggs, closed_at=None if reopened else clutch.closed_at)


def _reasons(told: MoveTold, now: datetime, zone: tzinfo) -> Iterator[str]:
    if told.at > now + CLOCKS_MAY_DIFFER_BY:
        yield f"{_when(told.at, zone)} is still to come. When was it moved?"
    yield from _not_there(told)
    yield from _home_of_others(told)
    yield from _out_of_order(told, zone)


def _not_there(told: MoveTold) -> Iterator[str]:
    box = told.egg.box(told.clutch.box)
    if is_over(told.egg, told.clutch):
        fate = told.chick.fate if told.chick else told.egg.fate
        yield f"{told.words} is known as {fate} already, so it can't be moved."
    if box == told.into.box.id:
        yield f"{told.words} is in {told.into.box.name} already."
    if box != told.out_of.box.id:
        yield f"{told.words} is not in {told.out_of.box.name} any more."


def _home_of_others(told: MoveTold) -> Iterator[str]:
    """Its clutch would go on there, and the next pair's eggs would be counted to it."""
    pair = told.into.pair
    if reopens(told) and pair is not None and pair.id != told.clutch.pair_id:
        yield (
            f"{told.words} was laid in {told.into.box.name} by the pair before, and that clutch is "
            "over: nobody could tell it from those of the pair that is there now. Move it into "
            "another box."
        )


def _out_of_order(told: MoveTold, zone: tzinfo) -> Iterator[str]:
    when = _when(told.at, zone)
    known = told.chick.hatched_to if told.chick else told.egg.laid_to
    if told.at < known:
        yield (
            f"{told.words} was first seen on {_when(known, zone)}: it can't have been moved on "
            f"{when}."
        )
    if told.egg.moves and told.at < told.egg.moves[-1].at:
        yield (
            f"{told.words} was moved on {_when(told.egg.moves[-1].at, zone)} before. "
            "Moves are told in their order."
        )
    for nest in (told.out_of, told.into):
        if nest.checks and told.at < nest.checks[-1].at:
            yield (
                f"The last look into {nest.box.name} was on {_when(nest.checks[-1].at, zone)}, "
                f"and this move is told for {when}: the book takes both in their order. Tell the "
                "move as of now, with the reason and when it was."
            )


def _when(at: datetime, zone: tzinfo) -> str:
    return f"{at.astimezone(zone):%d.%m.%Y %H:%M}"
