"""What the book says beyond one nest, as far as a look or a correction touches it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from service.nests.guests import at_home
from service.nests.nest import Guest


@dataclass(frozen=True, slots=True, kw_only=True)
class RingWorn:
    """A ring of the book. ``wearer`` is in words ("the hen Fern", "chick 2 of Box 3").

    ``egg_id`` is the egg that a chick, or a bird that was a chick of this book, hatched from.
    """

    ring: str
    wearer: str
    egg_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BookSays:
    """``names`` of boxes by their id, for words; ``rings`` that are worn, as far as asked."""

    names: Mapping[str, str] = field(default_factory=dict)
    rings: tuple[RingWorn, ...] = ()

    def name(self, box: str) -> str:
        """The name that people read; the id where nobody told one."""
        return self.names.get(box, box)

    def worn_elsewhere(self, ring: str, egg_id: int) -> RingWorn | None:
        """Who else wears a ring: somebody who did not hatch from this egg.

        Large and small letters are the same.
        """
        wanted = ring.casefold()
        worn = (one for one in self.rings if one.ring.casefold() == wanted)
        return next((one for one in worn if one.egg_id != egg_id), None)

    def guest(self, guest: Guest) -> str:
        """``egg 3 of Box 2``, or ``chick 3 of Box 2`` once it hatched.

        One of the round before in its own parents' box is ``chick 3 of round 1``.
        """
        thing = "egg" if guest.chick is None else "chick"
        return f"{thing} {guest.egg.number} of {self.home(guest)}"

    def home(self, guest: Guest) -> str:
        """Where a guest comes from: another box, or the round before of this one."""
        clutch = guest.clutch
        if at_home(guest.egg, clutch):
            return f"round {clutch.round}"
        return self.name(clutch.box)


def upper(words: str) -> str:
    """The beginning of a sentence; names keep their letters."""
    return words[:1].upper() + words[1:]
