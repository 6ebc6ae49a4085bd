"""Which nests sleep while the birds rest. Pure."""

from service.nests.nest import ChickFate, Nest


def sleeps(nest: Nest) -> bool:
    """Whether nothing of breeding is due in this nest.

    Only while the birds rest, and only where nothing is left to care for: a late clutch, or one
    that nobody thought of when the season was closed, stays awake.
    """
    return nest.resting and not has_life(nest) and not still_fed(nest)


def has_life(nest: Nest) -> bool:
    """Whether by the book an egg lies or a chick sits there, or is away from there."""
    own = nest.clutch
    if own is not None and (
        any(egg.fate is None for egg in own.eggs) or any(chick.fate is None for chick in own.chicks)
    ):
        return True
    return any(
        guest.egg.fate is None if guest.chick is None else guest.chick.fate is None
        for guest in nest.guests
    )


def still_fed(nest: Nest) -> int:
    """How many youngsters are out of the box and not yet noted as feeding on their own."""
    own = nest.clutch.chicks if nest.clutch else ()
    young = (*own, *(guest.chick for guest in nest.guests if guest.chick is not None))
    return sum(chick.fate is ChickFate.FLEDGED for chick in young)
