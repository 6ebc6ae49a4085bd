"""A nest as the book knew it at an instant, when it tells of later ones by now. Pure."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, tzinfo

from service.nests.nest import Chick, Clutch, Egg, Nest
from service.nests.stage_days import instants, nest_as_at


def next_told(nest: Nest, now: datetime, zone: tzinfo) -> datetime | None:
    """The first thing after ``now`` that the book tells of; None where it tells of none."""
    return min((at for at in _all_told(nest, zone) if at > now), default=None)


def as_known(nest: Nest, now: datetime, zone: tzinfo) -> Nest:
    """The nest without what happened after ``now``; the same where nothing did."""
    if next_told(nest, now, zone) is None:
        return nest
    known = nest_as_at(nest, now, zone)
    clutch = None if known.clutch is None else _clutch_as_known(known.clutch, now)
    guests = tuple(
        replace(
            guest,
            egg=_egg_as_known(guest.egg, now),
            chick=None if guest.chick is None else _chick_as_known(guest.chick, now),
        )
        for guest in known.guests
    )
    return replace(known, clutch=clutch, guests=guests)


def _all_told(nest: Nest, zone: tzinfo) -> Iterator[datetime]:
    yield from instants(nest, zone)
    clutch = nest.clutch
    if clutch is not None:
        yield from _unless_none(clutch.hide_in_at, clutch.sitting_from)
    chicks = [*(clutch.chicks if clutch else ()), *(g.chick for g in nest.guests if g.chick)]
    eggs = [*(clutch.eggs if clutch else ()), *(g.egg for g in nest.guests)]
    for chick in chicks:
        yield from _unless_none(chick.ringed_at)
    for egg in eggs:
        yield from _unless_none(egg.candled_at)


def _unless_none(*told: datetime | None) -> Iterator[datetime]:
    return (at for at in told if at is not None)


def _clutch_as_known(clutch: Clutch, now: datetime) -> Clutch:
    hide, sat = clutch.hide_in_at, clutch.sitting_from
    return replace(
        clutch,
        eggs=tuple(_egg_as_known(egg, now) for egg in clutch.eggs),
        chicks=tuple(_chick_as_known(chick, now) for chick in clutch.chicks),
        hide_in_at=hide if hide is not None and hide <= now else None,
        sitting_from=sat if sat is not None and sat <= now else None,
    )


def _egg_as_known(egg: Egg, now: datetime) -> Egg:
    if egg.candled_at is None or egg.candled_at <= now:
        return egg
    return replace(egg, candling=None, candled_at=None)


def _chick_as_known(chick: Chick, now: datetime) -> Chick:
    if chick.ringed_at is None or chick.ringed_at <= now:
        return chick
    return replace(chick, ring=None, ringed_at=None)
