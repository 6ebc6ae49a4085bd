"""Which nests sleep while the birds rest. Pure."""

from service.nests.guests import (
    chicks_at_home,
    chicks_of_guests,
    eggs_of_guests,
    lying_at_home,
    reared_at_home,
)
from service.nests.nest import Chick, ChickFate, Nest


def sleeps(nest: Nest) -> bool:
    """Whether nothing of breeding is due in this nest.

    Only while the birds rest, and only where nothing is left to care for: a late clutch, or one
    that nobody thought of when the season was closed, stays awake.
    """
    return nest.resting and not has_life(nest) and not still_fed(nest)


def has_life(nest: Nest) -> bool:
    """Whether by the book an egg lies or a chick sits there, its own or a guest."""
    own = nest.clutch
    at_home = own is not None and bool(lying_at_home(own) or chicks_at_home(own))
    return at_home or bool(eggs_of_guests(nest) or chicks_of_guests(nest))


def still_fed(nest: Nest) -> int:
    """How many youngsters are out of the box and not yet noted as feeding on their own."""
    own = reared_at_home(nest.clutch) if nest.clutch else ()
    guests = (guest.chick for guest in nest.guests if guest.chick is not None)
    young = (*own, *guests, *_of_round_before(nest))
    return sum(chick.fate is ChickFate.FLEDGED for chick in young)


def _of_round_before(nest: Nest) -> tuple[Chick, ...]:
    """The next round may begin, and end, before they feed on their own."""
    before, own = nest.before, nest.clutch
    if before is None or own is None or before.box != nest.box.id:
        return ()
    same_season = before.pair_id == own.pair_id and before.round < own.round
    return reared_at_home(before) if same_season else ()
