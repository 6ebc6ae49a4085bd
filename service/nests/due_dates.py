"""What is to come in a nest, as spans with their reasons. Pure.

Nothing here is stored: the spans follow from what was seen and from the species' settings,
so that one corrected fact moves all that rests on it, and nothing else. A span that has
ended stays listed until the thing is done or can't be any more. What lies in another box now
is due there, and what was moved in is due here.
"""

from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo

from service.nests.due import Due
from service.nests.due_of_box import dues_of_box
from service.nests.due_of_chick import dues_of_young
from service.nests.due_of_egg import dues_of_eggs
from service.nests.nest import Nest
from service.nests.own_ways import own_ways
from service.nests.reckoning import Reckoning
from service.nests.residents import residents
from service.nests.resting import sleeps
from service.nests.species import SpeciesSettings


def due_dates(
    nest: Nest, species: SpeciesSettings, now: datetime, zone: tzinfo = UTC
) -> tuple[Due, ...]:
    """All that this nest is expected to do or to need, by the beginning of the span.

    For an egg that can still hatch the ring, the first outing and independence are listed
    too, "if it hatches". ``zone`` is the shed's, for the days that the reasons name.
    """
    bred = nest.clutch is not None or nest.before is not None or nest.guests
    if not bred or sleeps(nest):
        return ()
    own = own_ways(species, nest.before)
    reckoning = Reckoning(
        nest=nest,
        residents=residents(nest, own, zone, of_guests=species),
        species=own,
        of_guests=species,
        now=now,
        zone=zone,
    )
    dues = [*dues_of_eggs(reckoning), *dues_of_box(reckoning), *dues_of_young(reckoning)]
    return tuple(sorted(dues, key=_order))


def next_due(dues: Sequence[Due], now: datetime) -> Due | None:
    """What comes first: of those begun (late or not) the one that ends first, else the next."""
    begun = [due for due in dues if due.since <= now]
    if begun:
        return min(begun, key=lambda due: (due.until, due.since))
    return min(dues, key=lambda due: (due.since, due.until), default=None)


def _order(due: Due) -> tuple[datetime, datetime, str, int]:
    return (due.since, due.until, due.laid_in or "", due.egg_number or 0)
