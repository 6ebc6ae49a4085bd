"""Two boxes with a pair each, looked into and fostered through the real walk of a check."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import uuid4

from service.clock import FixedClock
from service.nest_check_path import Asked, NestCheckPath, Recorded
from service.nests.nest import Clutch, Egg, Guest, Nest, NestCheck, Sex
from service.nests.place import Place, PlaceKind
from service.store.nest_book import NestBook

MORNING = datetime(2026, 3, 10, 7, tzinfo=UTC)
LAST_DAY = MORNING + timedelta(days=60)


def at(days: float) -> datetime:
    """So many days after the first egg of box 1."""
    return MORNING + timedelta(days=days)


@dataclass(frozen=True, kw_only=True)
class TwoBoxes:
    """``box-1`` and ``box-2``; and ``box-3``, whose cage has no pair."""

    book: NestBook
    path: NestCheckPath

    def look(self, box: str, days: float, eggs: int, chicks: int = 0, **more: Any) -> Recorded:
        """A look that must raise no question."""
        answer = self.try_look(box, days, eggs, chicks, **more)
        assert isinstance(answer, Recorded), answer.questions
        return answer

    def try_look(
        self, box: str, days: float, eggs: int, chicks: int = 0, **more: Any
    ) -> Recorded | Asked:
        """A look that may."""
        check = NestCheck(form_id=uuid4(), box=box, at=at(days), eggs=eggs, chicks=chicks, **more)
        return self.path.record(check)

    def lay(self, box: str, eggs: int) -> None:
        """An empty look on day 0, and then an egg every second day."""
        self.look(box, 0, 0)
        for number in range(1, eggs + 1):
            self.look(box, 2 * number - 1, number)

    def foster(self, egg: Egg, out_of: str, into: str, days: float) -> None:
        self.book.move(
            [(egg.id, out_of)], to_box=into, at=at(days), now=LAST_DAY, why="to foster", by="Mara"
        )

    def nest(self, box: str) -> Nest:
        return self.book.nest(box)

    def clutch(self, box: str) -> Clutch:
        clutch = self.book.nest(box).clutch
        assert clutch is not None
        return clutch

    def egg(self, box: str, number: int) -> Egg:
        """Egg ``number`` of the clutch that was laid in that box."""
        return self.clutch(box).eggs[number - 1]

    def guest(self, box: str) -> Guest:
        (guest,) = self.book.nest(box).guests
        return guest


def two_boxes(book: NestBook) -> TwoBoxes:
    """A pair in each of the first two cages, put up nine days before the first egg."""
    places = [Place(id="shed", kind=PlaceKind.SHED, name="Shed")]
    for n in (1, 2, 3):
        cage = Place(
            id=f"cage-{n}", kind=PlaceKind.CAGE, name=f"Cage {n}", within="shed", order=2 * n
        )
        box = Place(
            id=f"box-{n}", kind=PlaceKind.BOX, name=f"Box {n}", within=cage.id, order=2 * n + 1
        )
        places += [cage, box]
    book.put_places(places)
    for n in (1, 2):
        cock, hen = book.add_bird(sex=Sex.COCK), book.add_bird(sex=Sex.HEN)
        book.put_up(cage=f"cage-{n}", cock_id=cock.id, hen_id=hen.id, on=date(2026, 3, 1))
    return TwoBoxes(book=book, path=NestCheckPath(book, FixedClock(LAST_DAY)))
