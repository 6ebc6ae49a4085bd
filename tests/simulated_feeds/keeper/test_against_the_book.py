"""The keeper's book against the nest book's own reading and thinking.

Two programs that share no line: one writes what a keeper would, the other compares, stores and
exports. They must agree to the byte.
"""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from service.book.exporting import export_book
from service.book.folder import read_folder
from service.book.importing import import_book
from service.clock import FixedClock
from service.nest_check_path import NestCheckPath, Recorded
from service.nests.nest import (
    BeddingLevel,
    BeddingSeen,
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    EggCandled,
    EggFate,
    EggLost,
    GuestSeen,
    HenSeen,
    NestCheck,
    Sex,
    Weighed,
)
from service.nests.place import Place, PlaceKind
from service.store.sql_records import Records, open_records
from simulated_feeds.keeper import values
from simulated_feeds.keeper.book import book_of
from simulated_feeds.keeper.csv_book import write_book
from simulated_feeds.keeper.rows import Book, MoveRow
from simulated_feeds.keeper.story import places_of
from tests.simulated_feeds.birds.invented_air import ZONE
from tests.simulated_feeds.birds.lived_seasons import fostering

PLACES = [
    Place(id=one.id, kind=PlaceKind(one.kind), name=one.name, within=one.within, order=one.order)
    for one in places_of(9)
]


@pytest.fixture(scope="module")
def book() -> Book:
    told = fostering()
    return book_of(told.looks, told.pairs, told.clutches, seed=11)


@pytest.fixture(scope="module")
def folder(book: Book, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("book")
    write_book(made, book)
    return made


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    opened = open_records("sqlite:///records.db", tmp_path)
    opened.nest_book.put_places(PLACES)
    yield opened
    opened.close()


def differing(folder: Path, exported: Path) -> dict[str, list[tuple[str, str]]]:
    """The first lines that are not the same, by file."""
    found = {}
    for path in sorted(folder.glob("*.csv")):
        ours = path.read_bytes().split(b"\r\n")
        theirs = (exported / path.name).read_bytes().split(b"\r\n")
        lines = [(a.decode(), b.decode()) for a, b in zip(ours, theirs, strict=False) if a != b]
        if lines or len(ours) != len(theirs):
            found[path.name] = lines[:3]
    return found


def test_import_takes_the_book_without_a_fault_and_exports_the_same_bytes(
    book: Book, folder: Path, records: Records, tmp_path: Path
) -> None:
    read = read_folder(folder)
    assert read.faults == ()
    done = import_book(read, records.book_copy, PLACES, now=fostering().last, zone=ZONE)
    assert done.added["checks"] == len(book.checks)
    assert done.left_out == ()
    export_book(records.book_copy.rows(), tmp_path / "out")
    assert differing(folder, tmp_path / "out") == {}


def test_every_look_walked_gives_the_book_as_the_keeper_wrote_it(
    book: Book, folder: Path, records: Records, tmp_path: Path
) -> None:
    """No look is asked about, and every fact comes out as the keeper's own."""
    walk(book, records, fostering().last)
    export_book(records.book_copy.rows(), tmp_path / "out")
    found = differing(folder, tmp_path / "out")
    # Seasons, and where a bird lives, are no fruit of looks.
    found.pop("seasons.csv", None)
    assert found == {}


def walk(book: Book, records: Records, last: datetime) -> None:
    nest_book = records.nest_book
    for bird in book.birds:
        made = nest_book.add_bird(
            sex=Sex(bird.sex), ring=bird.ring, variety=bird.variety, hatched_on=bird.hatched_on
        )
        assert made.id == bird.bird
    for pair in book.pairs:
        put_up = nest_book.put_up(
            cage=pair.cage, cock_id=pair.cock, hen_id=pair.hen, on=pair.put_up_on
        )
        assert put_up.id == pair.pair
    # At one instant the look comes before the move.
    events = sorted(
        [(row.told.at, 0, row.told) for row in book.checks] + [(m.at, 1, m) for m in book.moves],
        key=lambda one: one[:2],
    )
    for at, _, event in events:
        if isinstance(event, MoveRow):
            nest_book.move(
                [(event.egg, event.from_box)], to_box=event.to_box, at=at, now=last, why=event.why
            )
            continue
        path = NestCheckPath(nest_book, FixedClock(at), lambda: ZONE)
        answer = path.record(check_of(event))
        assert isinstance(answer, Recorded), (event, answer)


def check_of(told: values.NestCheck) -> NestCheck:
    bedding = BeddingSeen(
        level=None if told.bedding is None else BeddingLevel(told.bedding),
        thrown_out=told.thrown_out,
        put_back=told.put_back,
        taken_out=told.taken_out,
    )
    return NestCheck(
        form_id=told.form_id,
        box=told.box,
        at=told.at,
        eggs=told.eggs,
        chicks=told.chicks,
        hen=HenSeen(told.hen),
        hatched=told.hatched,
        lost=tuple(EggLost(number=one.number, fate=EggFate(one.fate)) for one in told.lost),
        candled=tuple(
            EggCandled(number=one.number, result=Candling(one.result)) for one in told.candled
        ),
        ringed=tuple(ChickRinged(egg_number=one.egg_number, ring=one.ring) for one in told.ringed),
        gone=tuple(
            ChickGone(egg_number=one.egg_number, fate=ChickFate(one.fate)) for one in told.gone
        ),
        guests=tuple(guest_of(guest) for guest in told.guests),
        not_in_sight=told.not_in_sight,
        bedding=None if bedding == BeddingSeen() else bedding,
        weighed=tuple(
            Weighed(egg_number=one.egg_number, mass_g=one.mass_g, egg_id=one.egg_id)
            for one in told.weighed
        ),
        hide_in=told.hide_in,
    )


def guest_of(told: values.GuestSeen) -> GuestSeen:
    return GuestSeen(
        egg_id=told.egg_id,
        candled=None if told.candled is None else Candling(told.candled),
        lost=None if told.lost is None else EggFate(told.lost),
        hatched=told.hatched,
        ring=told.ring,
        gone=None if told.gone is None else ChickFate(told.gone),
        not_in_sight=told.not_in_sight,
    )
