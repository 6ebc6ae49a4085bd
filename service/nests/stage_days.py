"""In which stage nests were on days gone by, as far as the book knows today. Pure."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta, tzinfo

from service.nests.nest import Chick, Clutch, Egg, Guest, Nest
from service.nests.species import SpeciesSettings
from service.nests.stage import Stage, stage
from service.nests.visits import day_began

_DAY = timedelta(days=1)


def nest_as_at(nest: Nest, at: datetime, zone: tzinfo) -> Nest:
    """The nest without what happened after ``at``.

    A clutch before the one that the nest holds is not told: those days read as paired up.
    """
    pair = nest.pair
    if pair is not None and pair.put_up_on > at.astimezone(zone).date():
        pair = None
    return replace(
        nest,
        pair=pair,
        clutch=None if nest.clutch is None else _clutch_as_at(nest.clutch, at),
        checks=tuple(check for check in nest.checks if check.at <= at),
        guests=tuple(
            _guest_as_at(guest, at)
            for guest in nest.guests
            if guest.egg.box_at(at, guest.clutch.box) == nest.box.id
        ),
    )


def _clutch_as_at(clutch: Clutch, at: datetime) -> Clutch:
    return replace(
        clutch,
        eggs=tuple(_egg_as_at(egg, at) for egg in clutch.eggs if egg.laid_to <= at),
        chicks=tuple(_chick_as_at(one, at) for one in clutch.chicks if one.hatched_to <= at),
        closed_at=_unless_after(clutch.closed_at, at),
    )


def _egg_as_at(egg: Egg, at: datetime) -> Egg:
    moves = tuple(move for move in egg.moves if move.at <= at)
    if egg.fate_to is None or egg.fate_to <= at:
        return replace(egg, moves=moves)
    return replace(egg, moves=moves, fate=None, fate_from=None, fate_to=None)


def _chick_as_at(chick: Chick, at: datetime) -> Chick:
    if chick.fate_at is None or chick.fate_at <= at:
        return chick
    return replace(chick, fate=None, fate_at=None)


def _guest_as_at(guest: Guest, at: datetime) -> Guest:
    chick = guest.chick
    if chick is not None:
        chick = _chick_as_at(chick, at) if chick.hatched_to <= at else None
    return replace(guest, egg=_egg_as_at(guest.egg, at), chick=chick)


def _unless_after(told: datetime | None, at: datetime) -> datetime | None:
    return None if told is None or told > at else told


class StageDays:
    """Stages of the nests of one place, each reckoned once."""

    def __init__(
        self, nests: Sequence[Nest], species: SpeciesSettings, zone: tzinfo, now: datetime
    ) -> None:
        """What is to come after ``now`` is reckoned as if nothing new were seen."""
        self._nests = nests
        self._species = species
        self._zone = zone
        self._now = now
        self._known: dict[datetime, frozenset[Stage]] = {}
        days = [_first_day(nest, zone) for nest in nests]
        self._first = min((day for day in days if day is not None), default=None)

    def at(self, at: datetime) -> frozenset[Stage]:
        """The stages of its nests at an instant; none where it has no nest."""
        if at not in self._known:
            self._known[at] = frozenset(
                stage(nest_as_at(nest, at, self._zone), at, self._species) for nest in self._nests
            )
        return self._known[at]

    def day_of_run(self, stages: Collection[Stage], day: date) -> int:
        """How many days before ``day`` in a row ended in one of ``stages``.

        Before the first thing that the book knows a nest was always as it was then: counted
        from the first Monday of 1970, so that the count goes on evenly.
        """
        run = 0
        while self._ended_in(stages, day - (run + 1) * _DAY):
            run += 1
            if self._first is None or day - run * _DAY < self._first:
                return (day - _FIRST_MONDAY).days
        return run

    def _ended_in(self, stages: Collection[Stage], day: date) -> bool:
        end = min(day_began(day + _DAY, self._zone), self._now)
        return not self.at(end).isdisjoint(stages)


_FIRST_MONDAY = date(1970, 1, 5)


def _first_day(nest: Nest, zone: tzinfo) -> date | None:
    """The day of the first thing that the book knows of the nest as it is now."""
    instants = [at.astimezone(zone).date() for at in _instants(nest)]
    if nest.pair is not None:
        instants.append(nest.pair.put_up_on)
    return min(instants, default=None)


def _instants(nest: Nest) -> Iterator[datetime]:
    if nest.clutch is not None:
        yield from (egg.laid_to for egg in nest.clutch.eggs)
    yield from (guest.egg.moves[-1].at for guest in nest.guests if guest.egg.moves)
