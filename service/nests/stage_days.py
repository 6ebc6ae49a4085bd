"""In which stage nests were on days gone by, as far as the book knows today. Pure."""

from bisect import bisect_right
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
        self._species = species
        self._zone = zone
        self._now = now
        self._known: dict[datetime, frozenset[Stage]] = {}
        self._known_as = [_KnownAs(nest, zone) for nest in nests]
        days = [one.first_day for one in self._known_as]
        self._first = min((day for day in days if day is not None), default=None)

    def at(self, at: datetime) -> frozenset[Stage]:
        """The stages of its nests at an instant; none where it has no nest."""
        if at not in self._known:
            self._known[at] = frozenset(
                stage(nest.at(at), at, self._species) for nest in self._known_as
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


class _KnownAs:
    """A nest as it was known at any instant; between two things that happened it is the same."""

    def __init__(self, nest: Nest, zone: tzinfo) -> None:
        self._nest = nest
        self._zone = zone
        self._instants = sorted(set(instants(nest, zone)))
        self._known: dict[int, Nest] = {}
        first = self._instants[0] if self._instants else None
        self.first_day = None if first is None else first.astimezone(zone).date()

    def at(self, at: datetime) -> Nest:
        nth = bisect_right(self._instants, at)
        if nth not in self._known:
            self._known[nth] = nest_as_at(self._nest, at, self._zone)
        return self._known[nth]


def instants(nest: Nest, zone: tzinfo) -> Iterator[datetime]:
    """All at which something happened that a nest is told by."""
    if nest.pair is not None:
        yield day_began(nest.pair.put_up_on, zone)
    yield from (check.at for check in nest.checks)
    clutch = nest.clutch
    eggs = [*(clutch.eggs if clutch is not None else ()), *(one.egg for one in nest.guests)]
    chicks = [*(clutch.chicks if clutch is not None else ())]
    chicks += [one.chick for one in nest.guests if one.chick is not None]
    if clutch is not None and clutch.closed_at is not None:
        yield clutch.closed_at
    for egg in eggs:
        yield egg.laid_to
        yield from (move.at for move in egg.moves)
        if egg.fate_to is not None:
            yield egg.fate_to
    for chick in chicks:
        yield chick.hatched_to
        if chick.fate_at is not None:
            yield chick.fate_at
