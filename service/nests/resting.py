"""Which nests sleep while the birds rest. Pure."""

from collections.abc import Sequence

from service.nests.nest import ChickFate, Clutch, Nest
from service.nests.season import Season, is_resting


def sleeps(nest: Nest, seasons: Sequence[Season]) -> bool:
    """Whether nothing of breeding is due in this nest.

    Only while the birds rest, and only where nothing alive is left: a late clutch, or one that
    nobody thought of when the season was closed, stays awake.
    """
    return is_resting(seasons) and not has_life(nest)


def has_life(nest: Nest) -> bool:
    """Whether an egg or a chick lies in the nest, or a youngster of it is not yet on its own."""
    own = nest.clutch is not None and _lives(nest.clutch)
    return own or any(
        guest.egg.fate is None if guest.chick is None else guest.chick.fate is None
        for guest in nest.guests
    )


def _lives(clutch: Clutch) -> bool:
    return any(egg.fate is None for egg in clutch.eggs) or any(
        chick.fate in (None, ChickFate.FLEDGED) for chick in clutch.chicks
    )
