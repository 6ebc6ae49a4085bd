"""A simulated season's book as it stood on any evening, without storing it each time.

The values are those that the import reads; a test holds them against the records themselves.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

from service.book.folder import read_folder
from service.book.importing import import_book
from service.nests.guests import chick_of
from service.nests.known_facts import known_facts, nest_known_by
from service.nests.nest import Clutch, Guest, Nest, NestCheck, Pair
from service.nests.place import Place, PlaceKind
from service.nests.species import SpeciesSettings
from service.store.sql_check_rows import check_of
from service.store.sql_records import Records
from service.store.sql_tables import CHECKS
from simulated_feeds.birds.truth import EggTruth
from simulated_feeds.keeper.book import book_of
from simulated_feeds.keeper.csv_book import write_book
from simulated_feeds.keeper.story import places_of
from tests.service.nests.shown_guests import shown_with
from tests.simulated_feeds.birds.invented_air import ZONE
from tests.simulated_feeds.birds.lived_seasons import Lived

SPECIES = SpeciesSettings()


@dataclass(frozen=True, kw_only=True)
class Season:
    """All that the book ever held, and what was truly the case with each egg by its number."""

    boxes: tuple[Place, ...]
    clutches: tuple[Clutch, ...]
    pairs: tuple[Pair, ...]
    checks: tuple[tuple[int | None, NestCheck], ...]
    truths: dict[int, EggTruth]
    last: datetime

    def evenings(self) -> Iterator[datetime]:
        """After the last look of each day, while there are looks."""
        day = self.checks[0][1].at.date()
        while day <= self.checks[-1][1].at.date():
            yield datetime.combine(day, time(21), UTC)
            day += timedelta(days=1)

    def nests(self, at: datetime) -> list[Nest]:
        """Every box as the book stood at an instant."""
        begun = [_known(one, at) for one in self.clutches if one.eggs[0].laid_to <= at]
        shown = {clutch.box: clutch for clutch in begun}
        return [self._nest(box, shown, begun, at) for box in self.boxes]

    def _nest(
        self, box: Place, shown: dict[str, Clutch], begun: Sequence[Clutch], at: datetime
    ) -> Nest:
        pair = next((one for one in self.pairs if one.cage == box.within), None)
        clutch = shown.get(box.id)
        guests = [
            Guest(
                clutch=one,
                egg=egg,
                chick=chick_of(egg, one),
                home=next(place for place in self.boxes if place.id == one.box),
                checks=tuple(c for of, c in self.checks if of == one.id and c.at <= at),
            )
            for one in begun
            for egg in one.eggs
            if egg.box(one.box) == box.id != one.box
        ]
        found = Nest(
            box=box,
            pair=pair,
            clutch=clutch,
            checks=tuple(
                check
                for of, check in self.checks
                if check.box == box.id
                and check.at <= at
                and of == (None if clutch is None else clutch.id)
            ),
            before=_before(clutch, begun),
        )
        kept = tuple(guest for guest in guests if shown_with(found, guest))
        return replace(found, guests=kept)


def season_of(lived: Lived, records: Records, folder: Path) -> Season:
    """The book of a lived season, through the CSV files and the records."""
    book = book_of(lived.looks, lived.pairs, lived.clutches, seed=8)
    write_book(folder, book)
    places = tuple(
        Place(id=p.id, kind=PlaceKind(p.kind), name=p.name, within=p.within, order=p.order)
        for p in places_of(len(lived.pairs))
    )
    records.nest_book.put_places(places)
    read = read_folder(folder)
    import_book(read, records.book_copy, places, now=lived.last, zone=ZONE)
    rows = records.transactions.read(
        lambda found: found.execute(CHECKS.select().order_by(CHECKS.c.at)).mappings().all()
    )
    eggs = {egg.name: egg for clutch in lived.clutches for egg in clutch.eggs}
    return Season(
        boxes=tuple(place for place in places if place.kind is PlaceKind.BOX),
        clutches=tuple(records.nest_book.clutches()),
        pairs=tuple(records.nest_book.pairs()),
        checks=tuple((row["clutch_id"], check_of(row)) for row in rows),
        truths={number: eggs[name] for name, number in book.egg_numbers},
        last=lived.last,
    )


def _known(clutch: Clutch, at: datetime) -> Clutch:
    """What of a clutch was known at an instant."""
    whole = Nest(box=Place(id=clutch.box, kind=PlaceKind.BOX, name=clutch.box), clutch=clutch)
    facts = known_facts(whole, SPECIES, at)
    known = nest_known_by(whole, frozenset((f.kind, f.of) for f in facts if f.at <= at))
    assert known.clutch is not None
    return known.clutch


def _before(clutch: Clutch | None, begun: Sequence[Clutch]) -> Clutch | None:
    if clutch is None:
        return None
    earlier = [one for one in begun if one.pair_id == clutch.pair_id and one.id < clutch.id]
    return earlier[-1] if earlier else None
