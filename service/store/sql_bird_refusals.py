"""What can't be told of a bird, for the rest of the book: within the caller's transaction."""

from collections.abc import Mapping
from datetime import date

from sqlalchemy import Connection, select

from service.nests.nest import Bird
from service.nests.parentage import bird_faults, called, pair_faults
from service.store.faulty_bird import FaultyBirdError
from service.store.sql_nest_reading import read_pairs
from service.store.sql_rings import chick_wearing
from service.store.sql_tables import PLACES


def refuse_bird(connection: Connection, bird: Bird, birds: Mapping[int, Bird], today: date) -> None:
    """``birds`` are those of the book as they stand.

    Raises:
        FaultyBirdError: the bird contradicts itself, its kin, its pairs, or who wears its ring.
    """
    faults = [*bird_faults(bird, birds, today), *pair_faults(bird, read_pairs(connection))]
    before = birds.get(bird.id)
    if bird.ring is not None and (before is None or before.ring != bird.ring):
        wearer = chick_wearing(connection, bird)
        if wearer is not None:
            faults.append(
                f"Ring {bird.ring}: {wearer} wears it. If {called(bird)} is that chick, make it "
                "a bird on the chick's own page; a ring is given once."
            )
    there = select(PLACES.c.id).where(PLACES.c.id == bird.place)
    if bird.place is not None and connection.execute(there).first() is None:
        faults.append(f"Place: there is no place {bird.place}.")
    if faults:
        raise FaultyBirdError(faults)
