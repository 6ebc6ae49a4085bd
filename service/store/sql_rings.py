"""Who wears a ring: birds, and chicks that are no birds of the book yet."""

from collections.abc import Collection, Iterable

from sqlalchemy import Connection, select

from service.errors import InputError
from service.nests.book_says import BookSays, RingWorn
from service.nests.nest import Bird
from service.nests.parentage import called
from service.store.sql_nest_reading import read_birds
from service.store.sql_tables import CHICKS, CLUTCHES, EGGS, PLACES


def rings_worn(connection: Connection, rings: Collection[str]) -> tuple[RingWorn, ...]:
    """Every wearer of one of these rings; letters count as the same large and small."""
    asked_for = {ring.casefold() for ring in rings}
    if not asked_for:
        return ()
    found = []
    egg_of_bird: dict[int, int] = {}
    for row in connection.execute(_CHICKS).mappings():
        if row["bird_id"] is not None:
            egg_of_bird[row["bird_id"]] = row["egg_id"]
        if row["ring"] is not None and row["ring"].casefold() in asked_for:
            wearer = f"chick {row['egg_number']} of {row['name']}"
            found.append(RingWorn(ring=row["ring"], wearer=wearer, egg_id=row["egg_id"]))
    for bird in read_birds(connection).values():
        if bird.ring is not None and bird.ring.casefold() in asked_for:
            egg_id = egg_of_bird.get(bird.id)
            found.append(RingWorn(ring=bird.ring, wearer=_words(bird), egg_id=egg_id))
    return tuple(found)


def chick_wearing(connection: Connection, bird: Bird) -> str | None:
    """The chick that wears the ring of a bird and is not that bird, in words."""
    wanted = (bird.ring or "").casefold()
    for row in connection.execute(_CHICKS).mappings():
        is_it = row["bird_id"] is not None and row["bird_id"] == bird.id
        if wanted and not is_it and (row["ring"] or "").casefold() == wanted:
            return f"chick {row['egg_number']} of {row['name']}"
    return None


def refuse_worn_rings(connection: Connection, put_on: Iterable[tuple[int, str]]) -> None:
    """Each of ``put_on`` is an egg's id (0: not in the book yet) and the ring of its chick.

    Raises:
        InputError: the ring is somebody else's.
    """
    told = list(put_on)
    book = BookSays(rings=rings_worn(connection, [ring for _, ring in told]))
    for egg_id, ring in told:
        worn = book.worn_elsewhere(ring, egg_id)
        if worn is not None:
            raise InputError(f"Ring {ring} is on {worn.wearer}; a ring is given once.")


def _words(bird: Bird) -> str:
    return f"{bird.name or called(bird)} ({bird.sex})"


_CHICKS = (
    select(
        CHICKS.c.ring,
        CHICKS.c.bird_id,
        CHICKS.c.egg_number,
        EGGS.c.id.label("egg_id"),
        PLACES.c.name,
    )
    .join(CLUTCHES, CLUTCHES.c.id == CHICKS.c.clutch_id)
    .join(EGGS, (EGGS.c.clutch_id == CHICKS.c.clutch_id) & (EGGS.c.number == CHICKS.c.egg_number))
    .join(PLACES, PLACES.c.id == CLUTCHES.c.box)
    .where(CHICKS.c.ring.is_not(None) | CHICKS.c.bird_id.is_not(None))
)
