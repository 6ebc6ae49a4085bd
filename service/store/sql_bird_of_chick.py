"""A chick becomes a bird of the book, within the caller's transaction."""

from dataclasses import fields, replace
from datetime import date

from sqlalchemy import Connection, select

from service.errors import InputError, NotKnownError
from service.nests.nest import Bird, ChickFate
from service.nests.parentage import bird_faults
from service.store.faulty_bird import FaultyBirdError
from service.store.sql_clutch_reading import read_clutches
from service.store.sql_correcting import Change, correct
from service.store.sql_nest_reading import read_birds, read_pairs
from service.store.sql_rings import refuse_worn_rings
from service.store.sql_rows import insert_row
from service.store.sql_tables import BIRDS, CHICKS, CLUTCHES


def bird_of_chick(connection: Connection, told: Bird, change: Change, today: date) -> Bird:
    """A new bird with the chick's ring and its pair as parents; see ``NestBook``.

    ``change`` is that of the chick; what ties it to its bird can be undone like a correction.
    """
    chick_id = change.subject_id
    of_chick = CLUTCHES.c.id.in_(select(CHICKS.c.clutch_id).where(CHICKS.c.id == chick_id))
    for clutch in read_clutches(connection, of_chick):
        chick = next(chick for chick in clutch.chicks if chick.id == chick_id)
        if chick.bird_id is not None:
            raise InputError(f"Chick {chick.egg_number} is a bird of the book already.")
        if chick.fate is ChickFate.DIED:
            raise InputError(f"Chick {chick.egg_number} died.")
        pair = next(pair for pair in read_pairs(connection) if pair.id == clutch.pair_id)
        bird = replace(told, ring=chick.ring, sire_id=pair.cock.id, dam_id=pair.hen.id)
        egg_id = next(egg.id for egg in clutch.eggs if egg.number == chick.egg_number)
        return _add(connection, bird, egg_id, change, today)
    raise NotKnownError(f"there is no chick {chick_id}")


def _add(connection: Connection, bird: Bird, egg_id: int, change: Change, today: date) -> Bird:
    faults = bird_faults(bird, read_birds(connection), today)
    if faults:
        raise FaultyBirdError(faults)
    if bird.ring is not None:
        refuse_worn_rings(connection, [(egg_id, bird.ring)])
    values = {field.name: getattr(bird, field.name) for field in fields(bird)}
    del values["id"]
    bird = replace(bird, id=insert_row(connection, BIRDS, values))
    correct(connection, replace(change, facts={"bird": str(bird.id)}))
    return bird
