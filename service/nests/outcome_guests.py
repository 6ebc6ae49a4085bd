"""Clutches of other pairs as they stand after a check of the box that their eggs lie in. Pure."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from service.nests.book_says import BookSays
from service.nests.compare_guests import hatches, loses
from service.nests.guests import is_over
from service.nests.nest import Chick, Clutch, Egg, EggFate, Guest, GuestSeen, Nest, NestCheck
from service.nests.outcome import last_known, last_look_at


def guests_after(
    check: NestCheck, nest: Nest, book: BookSays
) -> tuple[tuple[Clutch, ...], tuple[str, ...]]:
    """Every clutch of which a guest got something new, once; and that in short sentences."""
    here = {guest.egg.id: guest for guest in nest.guests}
    clutches: dict[int, Clutch] = {}
    told: list[str] = []
    for seen in check.guests:
        guest = here[seen.egg_id]
        sentences = list(_sentences(seen, guest, book))
        told += sentences
        before = clutches.get(guest.clutch.id, guest.clutch)
        last_look = last_look_at(nest, egg_id=seen.egg_id)
        after = _with(seen, guest.egg.number, before, check.at, last_look)
        if after != before:
            clutches[before.id] = after
    return tuple(clutches.values()), tuple(told)


def _with(
    seen: GuestSeen, number: int, clutch: Clutch, at: datetime, last_look: datetime | None
) -> Clutch:
    egg = clutch.eggs[number - 1]
    chicks = clutch.chicks
    after = _egg_after(seen, egg, at, last_look)
    if after.fate is EggFate.HATCHED and egg.fate is None:
        since = last_known(egg, last_look)
        chicks += (Chick(id=0, egg_number=number, hatched_from=since, hatched_to=at),)
        chicks = tuple(sorted(chicks, key=lambda chick: chick.egg_number))
    eggs = tuple(after if one.number == number else one for one in clutch.eggs)
    chicks = tuple(
        _chick_after(seen, chick, at) if chick.egg_number == number else chick for chick in chicks
    )
    clutch = replace(clutch, eggs=eggs, chicks=chicks)
    if clutch.closed_at is None and _all_over(clutch):
        return replace(clutch, closed_at=at)
    return clutch


def _egg_after(seen: GuestSeen, egg: Egg, at: datetime, last_look: datetime | None) -> Egg:
    if seen.candled is not None:
        egg = replace(egg, candling=seen.candled, candled_at=at)
    fate = seen.lost if loses(seen) else EggFate.HATCHED if hatches(seen) else None
    if fate is None or egg.fate is not None:
        return egg
    return replace(egg, fate=fate, fate_from=last_known(egg, last_look), fate_to=at)


def _chick_after(seen: GuestSeen, chick: Chick, at: datetime) -> Chick:
    if seen.ring is not None:
        chick = replace(chick, ring=seen.ring.strip(), ringed_at=at)
    if seen.gone is not None:
        chick = replace(chick, fate=seen.gone, fate_at=at)
    return chick


def _all_over(clutch: Clutch) -> bool:
    """Known without a look into its own box only where a chick shows that laying was over."""
    return bool(clutch.chicks) and all(is_over(egg, clutch) for egg in clutch.eggs)


def _sentences(seen: GuestSeen, guest: Guest, book: BookSays) -> Iterator[str]:
    home = book.home(guest)
    egg, chick = (f"{thing} {guest.egg.number} of {home}" for thing in ("egg", "chick"))
    if seen.not_in_sight:
        yield f"{egg} not in sight"
    if seen.candled is not None:
        yield f"{egg} candled: {seen.candled}"
    if loses(seen):
        yield f"{egg} {seen.lost}"
    elif guest.chick is None and hatches(seen):
        yield f"{egg} hatched"
    if seen.ring is not None:
        yield f"{chick} ringed {seen.ring.strip()}"
    if seen.gone is not None:
        yield f"{chick} {seen.gone}"
