"""What a box holds: its eggs and chicks in laying order, then the guests. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from dashboards.views.local_words import count, day_word, local_day
from service.nests.guests import (
    at_home,
    chick_of,
    chicks_at_home,
    chicks_of_guests,
    eggs_of_guests,
    lying_at_home,
)
from service.nests.nest import Candling, Chick, ChickFate, Clutch, Egg, EggFate, Nest


class Mark(StrEnum):
    """How one is drawn."""

    EGG = "egg"
    CHICK = "chick"
    RINGED = "ringed chick"
    OUT = "out of the box"
    LOST = "lost"
    AWAY = "away"


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """One mark with its words. ``home`` is the box that a guest was laid in, else empty;
    of the round before in its own box it is that round.
    """

    mark: Mark
    number: int
    words: str
    home: str = ""


def holdings(
    nest: Nest, names: dict[str, str], now: datetime | None, zone: ZoneInfo
) -> tuple[Holding, ...]:
    """All that was laid here, in laying order, and then what came from other boxes.

    ``names`` are those of boxes by id. Without ``now``, as on paper, a chick's day stands
    instead of its age.
    """
    found = []
    if nest.clutch is not None:
        found += [_own(egg, nest.clutch, names, now, zone) for egg in nest.clutch.eggs]
    for guest in nest.guests:
        home = names.get(guest.clutch.box, guest.clutch.box)
        if at_home(guest.egg, guest.clutch):
            home = f"round {guest.clutch.round}"
        found.append(_there(guest.egg, guest.chick, now, zone, home=home))
    return tuple(found)


def there_in_words(nest: Nest) -> str:
    """``3 chicks and 2 eggs, 1 of them of another pair``; empty where nothing lies there."""
    eggs = len(lying_at_home(nest.clutch)) if nest.clutch is not None else 0
    chicks = len(chicks_at_home(nest.clutch)) if nest.clutch is not None else 0
    guest_eggs, guest_chicks = len(eggs_of_guests(nest)), len(chicks_of_guests(nest))
    parts = []
    if chicks + guest_chicks:
        parts.append(count(chicks + guest_chicks, "chick"))
    if eggs + guest_eggs:
        parts.append(count(eggs + guest_eggs, "egg"))
    told = " and ".join(parts)
    if guest_eggs + guest_chicks == 0:
        return told
    whose = tuple(_whose(nest))
    if not eggs + chicks and len(whose) == 1:
        number, words = whose[0]
        return f"{told}, {'all ' if number > 1 else ''}of {words}"
    return ", ".join((told, *(f"{number} of them of {words}" for number, words in whose)))


def _whose(nest: Nest) -> Iterator[tuple[int, str]]:
    """How many guests there are of other pairs, and of the round before."""
    guests = (*eggs_of_guests(nest), *chicks_of_guests(nest))
    before = sum(at_home(guest.egg, guest.clutch) for guest in guests)
    others = len(guests) - before
    if others:
        yield others, "another pair" if others == 1 else "other pairs"
    if before:
        yield before, "the round before"


def _own(
    egg: Egg, clutch: Clutch, names: dict[str, str], now: datetime | None, zone: ZoneInfo
) -> Holding:
    if at_home(egg, clutch):
        return _there(egg, chick_of(egg, clutch), now, zone)
    move = egg.moves[-1]
    box = names.get(move.to_box, move.to_box)
    return Holding(
        mark=Mark.AWAY,
        number=egg.number,
        words=f"in {box} since {day_word(local_day(move.at, zone))}",
    )


def _there(
    egg: Egg, chick: Chick | None, now: datetime | None, zone: ZoneInfo, *, home: str = ""
) -> Holding:
    if chick is not None:
        mark, words = _chick(chick, now, zone)
    elif egg.fate is not None:
        mark, words = Mark.LOST, f"lost, {egg.fate}" if egg.fate is not EggFate.HATCHED else ""
    else:
        mark, words = Mark.EGG, _CANDLED[egg.candling]
    return Holding(mark=mark, number=egg.number, words=words, home=home)


_CANDLED = {
    None: "not candled",
    Candling.FERTILE: "fertile",
    Candling.CLEAR: "clear",
    Candling.UNSURE: "candled, unsure",
}


def _chick(chick: Chick, now: datetime | None, zone: ZoneInfo) -> tuple[Mark, str]:
    if chick.fate is ChickFate.DIED:
        return Mark.LOST, "died"
    if chick.fate is not None:
        return Mark.OUT, chick.ring or chick.fate.value
    old = _age(chick, now, zone)
    if chick.ring is not None:
        return Mark.RINGED, f"{chick.ring}, {old}"
    return Mark.CHICK, old


def _age(chick: Chick, now: datetime | None, zone: ZoneInfo) -> str:
    """Whole days of the shed, as far as the looks tell it."""
    first, last = local_day(chick.hatched_from, zone), local_day(chick.hatched_to, zone)
    if now is None:
        return f"since {day_word(last)}"
    today = local_day(now, zone)
    least, most = (today - last).days, (today - first).days
    return count(least, "day") if least == most else f"{least} to {most} days"
