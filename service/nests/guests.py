"""Eggs and chicks of others in a box, and our own that are away. Pure."""

from datetime import UTC, datetime, time, timedelta

from service.nests.nest import Chick, Clutch, Egg, Guest, Nest, Pair

FED_AFTER_COMING_OUT = timedelta(days=60)
"""No youngster needs its parents for longer after it came out: common practice, no source; on the
safe side of a species' usual days, which the store does not ask."""


def at_home(egg: Egg, clutch: Clutch) -> bool:
    """Whether the egg, or the chick out of it, is in the box that it was laid in."""
    return egg.box(clutch.box) == clutch.box


def lying_at_home(clutch: Clutch) -> tuple[Egg, ...]:
    """Own eggs that lie in the box, in laying order: without a fate, and not away."""
    return tuple(egg for egg in clutch.eggs if egg.fate is None and at_home(egg, clutch))


def chicks_at_home(clutch: Clutch) -> tuple[Chick, ...]:
    """Own chicks that sit in the box: without a fate, and not away."""
    return tuple(chick for chick in reared_at_home(clutch) if chick.fate is None)


def reared_at_home(clutch: Clutch) -> tuple[Chick, ...]:
    """Own chicks that are in the box, or left it from there."""
    away = {egg.number for egg in clutch.eggs if not at_home(egg, clutch)}
    return tuple(chick for chick in clutch.chicks if chick.egg_number not in away)


def living_at_home(clutch: Clutch) -> frozenset[int]:
    """The numbers of own eggs that lie, or whose chicks sit, in the box."""
    chicks = (chick.egg_number for chick in chicks_at_home(clutch))
    return frozenset((*(egg.number for egg in lying_at_home(clutch)), *chicks))


def away(clutch: Clutch) -> tuple[Egg, ...]:
    """Own eggs that lie, or whose chicks sit, in another box, in laying order."""
    return tuple(
        egg for egg in clutch.eggs if not at_home(egg, clutch) and not is_over(egg, clutch)
    )


def is_over(egg: Egg, clutch: Clutch) -> bool:
    """Whether the egg, or the chick out of it, has its fate."""
    chick = chick_of(egg, clutch)
    return egg.fate is not None if chick is None else chick.fate is not None


def chick_of(egg: Egg, clutch: Clutch) -> Chick | None:
    """The chick that hatched from an egg of this clutch."""
    return next((chick for chick in clutch.chicks if chick.egg_number == egg.number), None)


def eggs_of_guests(nest: Nest) -> tuple[Guest, ...]:
    """Guests that are eggs and lie in the box, by when they came."""
    return tuple(guest for guest in nest.guests if guest.egg.fate is None)


def chicks_of_guests(nest: Nest) -> tuple[Guest, ...]:
    """Guests that are chicks and sit in the box, by when they came."""
    return tuple(
        guest for guest in nest.guests if guest.chick is not None and guest.chick.fate is None
    )


def shown_since(clutch: Clutch | None, pair: Pair | None) -> datetime | None:
    """Since when a box shows what became of its guests: the days of its clutch, else its pair's.

    None where it has neither: there only who is in the box is shown.
    """
    if clutch is not None and clutch.eggs:
        return clutch.eggs[0].laid_from
    return None if pair is None else datetime.combine(pair.put_up_on, time(), UTC)


def still_shown(ended: datetime | None, since: datetime | None, *, came_out: bool) -> bool:
    """Whether a box shows a guest whose story there ended then.

    A youngster that came out shortly before is still fed by those who reared it.
    """
    if ended is None or since is None:
        return False
    return ended > (since - FED_AFTER_COMING_OUT if came_out else since)
