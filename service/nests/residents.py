"""What is in a box now, its own and its guests, and when each egg began to grow. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, tzinfo

from service.nests.guests import at_home
from service.nests.nest import Chick, Clutch, Egg, Guest, Nest
from service.nests.place import Place, PlaceKind
from service.nests.sitting import Sitting, growth_began, laid, sitting
from service.nests.span import Span, in_days
from service.nests.species import SpeciesSettings


@dataclass(frozen=True, slots=True, kw_only=True)
class Resident:
    """An egg, or the chick out of it, that this box holds.

    ``grew`` is when the egg began to grow, ``why`` the part of a sentence that says by what.
    ``home`` is the box a guest was laid in, None for this box's own. ``clutch`` is its own.
    """

    egg: Egg
    chick: Chick | None
    clutch: Clutch
    grew: Span
    why: str
    home: Place | None = None

    @property
    def laid_in(self) -> str | None:
        """The box of a guest's own clutch; None for this box's own."""
        return self.clutch.box if self.home is not None else None

    def words(self, noun: str) -> str:
        """``egg 3``, or ``egg 3 of Box 2`` for a guest."""
        told = f"{noun} {self.egg.number}"
        return (
            told
            if self.home is None
            else f"{told} of {home_in_words(self.home, self.egg, self.clutch)}"
        )


def home_in_words(home: Place, egg: Egg, clutch: Clutch) -> str:
    """Of a guest: its box, or the round before where it never left its own parents' box."""
    return f"round {clutch.round}" if at_home(egg, clutch) else home.name


def residents(
    nest: Nest,
    species: SpeciesSettings,
    zone: tzinfo = UTC,
    *,
    of_guests: SpeciesSettings | None = None,
) -> tuple[Resident, ...]:
    """Its own eggs and chicks that were not moved away, then the guests. ``zone`` for words.

    ``species`` may hold this hen's own ways; ``of_guests`` are the spans for the hens that laid
    the guests, the same where nothing else is told.
    """
    began = sitting(nest, species, zone)
    own = () if nest.clutch is None or began is None else _own(nest.clutch, began, zone)
    return (*own, *(_guest(guest, began, of_guests or species, zone) for guest in nest.guests))


def _own(clutch: Clutch, began: Sitting, zone: tzinfo) -> Iterator[Resident]:
    chicks = {chick.egg_number: chick for chick in clutch.chicks}
    for egg in clutch.eggs:
        if egg.box(clutch.box) == clutch.box:
            yield Resident(
                egg=egg,
                chick=chicks.get(egg.number),
                clutch=clutch,
                grew=_grew_at_home(egg, began),
                why=_grew_since(egg, began, f"egg {egg.number}", zone),
            )


def _grew_at_home(egg: Egg, began: Sitting) -> Span:
    """What was away and came back may have been warm from when it left."""
    grew = growth_began(egg, began)
    if egg.moves and egg.moves[0].at < grew.since:
        return Span(since=egg.moves[0].at, until=grew.until)
    return grew


def _grew_since(egg: Egg, began: Sitting, words: str, zone: tzinfo) -> str:
    when = laid(egg)
    if when.until > began.began.until:
        return f"{words} was laid {in_days(when, zone)}, when she sat"
    return began.why


def _guest(guest: Guest, here: Sitting | None, species: SpeciesSettings, zone: tzinfo) -> Resident:
    """It began under its own hen, if she sat before it left; else under the one here."""
    home = guest.home or Place(id=guest.clutch.box, kind=PlaceKind.BOX, name=guest.clutch.box)
    words = f"egg {guest.egg.number} of {home_in_words(home, guest.egg, guest.clutch)}"
    own_nest = Nest(box=home, clutch=guest.clutch, checks=guest.checks)
    began = sitting(own_nest, species, zone)
    grew, why = laid(guest.egg), f"{words} was laid {in_days(laid(guest.egg), zone)}"
    if began is not None:
        grew = growth_began(guest.egg, began)
        why = _grew_since(guest.egg, began, words, zone)
        why = why if why.startswith(words) else f"{words}: {why}"
    left = guest.egg.moves[0].at if guest.egg.moves else grew.until
    if grew.until > left:
        came = guest.egg.moves[-1].at
        warm = Span(since=came, until=came)
        warm = warm.or_later(here.began) if here is not None else warm
        why = f"{words} came on {in_days(Span(since=came, until=came), zone)} and was warm here"
        if left < came:
            # Nobody asks here when the hens in between sat.
            warm = Span(since=left, until=warm.until)
            moved = in_days(Span(since=left, until=left), zone)
            why = f"{words} was moved on {moved}, came later and was warm here at the latest"
        since = warm.since if grew.since >= left else grew.since
        grew = Span(since=since, until=warm.until)
    return Resident(
        egg=guest.egg, chick=guest.chick, clutch=guest.clutch, grew=grew, why=why, home=home
    )
