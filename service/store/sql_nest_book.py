"""The nest book in records.db."""

import json
from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime

from sqlalchemy import Connection, delete, insert, select, update

from service.errors import InputError, NotKnownError
from service.nests.book_correction import BookCorrection, Subject
from service.nests.book_says import RingWorn
from service.nests.nest import Bird, Clutch, Move, Nest, NestCheck, Pair, Sex
from service.nests.place import Place, PlaceKind
from service.nests.putting_up import pairing_faults
from service.nests.species import SpeciesSettings
from service.nests.weighing import Weighing
from service.store.sql_bird_of_chick import bird_of_chick
from service.store.sql_book_tables import WEIGHINGS
from service.store.sql_check_rows import check_of
from service.store.sql_clutch_reading import read_clutches
from service.store.sql_correcting import Change, correct, undo
from service.store.sql_engine import Transactions
from service.store.sql_moving import move
from service.store.sql_nest_reading import (
    read_birds,
    read_nests,
    read_pairs,
    read_places,
    read_weighings,
    read_weighings_of_bird,
)
from service.store.sql_nest_rows import place_row, species_of, species_rows
from service.store.sql_pairing_anew import end_clutches_in
from service.store.sql_place_removal import remove_places
from service.store.sql_recording import record
from service.store.sql_replace import replace_rows
from service.store.sql_rings import rings_worn
from service.store.sql_rows import insert_row, moved_on
from service.store.sql_tables import (
    BIRDS,
    CHECKS,
    CLUTCHES,
    CORRECTIONS,
    EGGS,
    PAIRS,
    PLACES,
    SPECIES_SPANS,
)
from service.store.sql_weighing import weigh
from service.store.sql_withdrawing import withdraw


class SqlNestBook:
    """Fulfils ``NestBook``."""

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions

    def places(self) -> Sequence[Place]:
        return self._transactions.read(read_places)

    def put_places(self, places: Sequence[Place]) -> None:
        self._transactions.write(lambda connection: _put_places(connection, places))

    def remove_places(self, places: Sequence[str]) -> None:
        self._transactions.write(lambda connection: remove_places(connection, places))

    def add_bird(
        self,
        *,
        sex: Sex,
        ring: str | None = None,
        name: str | None = None,
        variety: str | None = None,
        hatched_on: date | None = None,
    ) -> Bird:
        bird = Bird(id=0, sex=sex, ring=ring, name=name, variety=variety, hatched_on=hatched_on)
        return self._transactions.write(lambda connection: _add_bird(connection, bird))

    def birds(self) -> Sequence[Bird]:
        return list(self._transactions.read(read_birds).values())

    def put_up(self, *, cage: str, cock_id: int, hen_id: int, on: date) -> Pair:
        return self._transactions.write(
            lambda connection: _put_up(connection, cage, cock_id, hen_id, on)
        )

    def pairs(self) -> Sequence[Pair]:
        return self._transactions.read(read_pairs)

    def nests(self) -> Sequence[Nest]:
        return self._transactions.read(read_nests)

    def nest(self, box: str) -> Nest:
        found = self._transactions.read(lambda connection: read_nests(connection, box))
        if not found:
            raise NotKnownError(f"there is no nest box {box!r}")
        return found[0]

    def clutches(self) -> Sequence[Clutch]:
        return self._transactions.read(read_clutches)

    def clutches_in(self, box: str) -> Sequence[Clutch]:
        return self._transactions.read(
            lambda connection: read_clutches(connection, CLUTCHES.c.box == box)
        )

    def clutches_of(self, pair_id: int) -> Sequence[Clutch]:
        return self._transactions.read(
            lambda connection: read_clutches(connection, CLUTCHES.c.pair_id == pair_id)
        )

    def clutches_of_birds(self, cock_id: int, hen_id: int) -> Sequence[Clutch]:
        theirs = select(PAIRS.c.id).where(PAIRS.c.cock_id == cock_id, PAIRS.c.hen_id == hen_id)
        return self._transactions.read(
            lambda connection: read_clutches(connection, CLUTCHES.c.pair_id.in_(theirs))
        )

    def weighings_of(self, clutch_id: int) -> Sequence[Weighing]:
        eggs = select(EGGS.c.id).where(EGGS.c.clutch_id == clutch_id)
        return self._transactions.read(
            lambda connection: read_weighings(connection, WEIGHINGS.c.egg_id.in_(eggs))
        )

    def weighings_of_bird(self, bird_id: int) -> Sequence[Weighing]:
        return self._transactions.read(
            lambda connection: read_weighings_of_bird(connection, bird_id)
        )

    def check(self, form_id: str) -> NestCheck | None:
        asked = select(CHECKS).where(CHECKS.c.form_id == form_id)
        row = self._transactions.read(lambda found: found.execute(asked).mappings().first())
        return None if row is None else check_of(row)

    def changes(self, form_id: str) -> tuple[str, ...]:
        asked = select(CHECKS.c.changes).where(CHECKS.c.form_id == form_id)
        told = self._transactions.read(lambda connection: connection.execute(asked).scalar())
        return tuple(json.loads(told)) if told else ()

    def record(
        self,
        check: NestCheck,
        clutch: Clutch | None,
        *,
        others: Sequence[Clutch] = (),
        changes: Sequence[str] = (),
        based_on: int | None = None,
    ) -> bool:
        return self._transactions.write(
            lambda connection: record(connection, check, (clutch, others), changes, based_on)
        )

    def withdraw(self, form_id: str) -> bool:
        return self._transactions.write(lambda connection: withdraw(connection, form_id))

    def rings_worn(self, rings: Collection[str]) -> tuple[RingWorn, ...]:
        return self._transactions.read(lambda connection: rings_worn(connection, rings))

    def move(
        self,
        eggs: Sequence[tuple[int, str]],
        *,
        to_box: str,
        at: datetime,
        now: datetime,
        why: str = "",
        by: str | None = None,
    ) -> Sequence[Move]:
        planned = Move(id=0, at=at, from_box="", to_box=to_box, why=why, by=by)
        return self._transactions.write(lambda connection: move(connection, eggs, planned, now))

    def set_sitting_from(
        self, clutch_id: int, at: datetime | None, *, by: str | None, now: datetime
    ) -> None:
        text = None if at is None else at.isoformat()
        self.correct(Subject.CLUTCH, clutch_id, "sitting from", text, by=by, at=now)

    def correct(
        self,
        subject: Subject,
        subject_id: int,
        fact: str,
        value: str | None,
        *,
        at: datetime,
        why: str | None = None,
        by: str | None = None,
    ) -> Sequence[BookCorrection]:
        return self.correct_all(subject, subject_id, {fact: value}, at=at, why=why, by=by)

    def correct_all(
        self,
        subject: Subject,
        subject_id: int,
        facts: Mapping[str, str | None],
        *,
        at: datetime,
        why: str | None = None,
        by: str | None = None,
    ) -> Sequence[BookCorrection]:
        change = Change(subject=subject, subject_id=subject_id, facts=facts, at=at, by=by, why=why)
        return self._transactions.write(lambda connection: correct(connection, change))

    def bird_of_chick(
        self, chick_id: int, bird: Bird, *, at: datetime, today: date, by: str | None = None
    ) -> Bird:
        change = Change(subject=Subject.CHICK, subject_id=chick_id, facts={}, at=at, by=by)
        return self._transactions.write(
            lambda connection: bird_of_chick(connection, bird, change, today)
        )

    def undo(self, correction_id: int, *, at: datetime, by: str | None = None) -> None:
        self._transactions.write(lambda connection: undo(connection, correction_id, by, at))

    def weigh(self, weighing: Weighing, *, now: datetime) -> Weighing:
        return self._transactions.write(lambda connection: weigh(connection, weighing, now))

    def corrections(self, clutch_id: int) -> Sequence[BookCorrection]:
        asked = (
            select(CORRECTIONS)
            .where(CORRECTIONS.c.clutch_id == clutch_id)
            .order_by(CORRECTIONS.c.id)
        )
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return [BookCorrection(**row) for row in rows]

    def species(self) -> SpeciesSettings:
        asked = select(SPECIES_SPANS)
        rows = self._transactions.read(lambda found: found.execute(asked).mappings().all())
        return species_of(rows)

    def put_species(self, settings: SpeciesSettings) -> None:
        def write(connection: Connection) -> None:
            connection.execute(delete(SPECIES_SPANS))
            connection.execute(insert(SPECIES_SPANS), species_rows(settings))

        self._transactions.write(write)


def _put_places(connection: Connection, places: Sequence[Place]) -> None:
    known = set(connection.execute(select(PLACES.c.id)).scalars()) | {place.id for place in places}
    for place in places:
        if place.within is not None and place.within not in known:
            raise InputError(f"{place.id} stands in {place.within}, and nobody knows that place")
    replace_rows(connection, PLACES, [place_row(place) for place in places])


def _add_bird(connection: Connection, bird: Bird) -> Bird:
    taken = select(BIRDS.c.id).where(BIRDS.c.ring == bird.ring)
    if bird.ring is not None and connection.execute(taken).first():
        raise InputError(f"ring {bird.ring} is another bird's")
    values = {
        "sex": bird.sex,
        "ring": bird.ring,
        "name": bird.name,
        "variety": bird.variety,
        "hatched_on": bird.hatched_on,
    }
    return Bird(id=insert_row(connection, BIRDS, values), **values)  # type: ignore[arg-type]


def _put_up(connection: Connection, cage: str, cock_id: int, hen_id: int, on: date) -> Pair:
    kind = connection.execute(select(PLACES.c.kind).where(PLACES.c.id == cage)).scalar()
    if kind not in (PlaceKind.CAGE, PlaceKind.FLIGHT):
        raise NotKnownError(f"there is no cage {cage!r}")
    cock, hen = _two_birds(connection, cock_id, hen_id)
    pairs = read_pairs(connection)
    before = next((pair for pair in pairs if pair.cage == cage and pair.ended_on is None), None)
    if before is not None and (before.cock.id, before.hen.id) == (cock_id, hen_id):
        return before
    names = {place.id: place.name for place in read_places(connection)}
    faults = pairing_faults(cock, hen, cage=cage, on=on, pairs=pairs, names=names)
    if faults:
        raise InputError(" ".join(faults))
    end_clutches_in(connection, cage)
    if before is not None:
        ends = update(PAIRS).where(PAIRS.c.id == before.id).values(ended_on=on)
        connection.execute(ends)
    values = {"cage": cage, "cock_id": cock_id, "hen_id": hen_id, "put_up_on": on}
    pair_id = insert_row(connection, PAIRS, values)
    moved_on(connection, PLACES.c.within == cage)
    return Pair(id=pair_id, cage=cage, cock=cock, hen=hen, put_up_on=on)


def _two_birds(connection: Connection, cock_id: int, hen_id: int) -> tuple[Bird, Bird]:
    birds = read_birds(connection)
    for bird_id in (cock_id, hen_id):
        if bird_id not in birds:
            raise NotKnownError(f"there is no bird {bird_id}")
    return birds[cock_id], birds[hen_id]
