"""The guests that a box shows, told of values; the store asks its rows for the same."""

from service.nests.guests import is_over, shown_since, still_shown
from service.nests.nest import ChickFate, Guest, Nest


def shown_with(nest: Nest, guest: Guest) -> bool:
    """Whether the guest is there, or was in the days that the nest shows."""
    if not is_over(guest.egg, guest.clutch):
        return True
    chick = guest.chick
    ended = guest.egg.fate_to if chick is None else chick.fate_at
    came_out = chick is not None and chick.fate is ChickFate.FLEDGED
    return still_shown(ended, shown_since(nest.clutch, nest.pair), came_out=came_out)
