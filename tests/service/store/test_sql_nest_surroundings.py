"""What due dates ask beyond a nest's own clutch, as the records tell it."""

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from service.clock import FixedClock
from service.nest_check_path import NestCheckPath, Recorded
from service.nests.nest import EggFate, EggLost, GuestSeen, NestCheck, Sex
from service.nests.place import Place, PlaceKind
from service.store import sql_clutch_reading, sql_nest_reading
from service.store.sql_book_tables import BOXES_OFF, SEASONS
from service.store.sql_records import Records, open_records

START = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    """Two cages with a box each, and a pair in the first."""
    opened = open_records("sqlite:///records.db", tmp_path)
    places = [Place(id="shed", kind=PlaceKind.SHED, name="Shed")]
    for n in (1, 2):
        cage = Place(id=f"cage-{n}", kind=PlaceKind.CAGE, name=f"Cage {n}", within="shed", order=n)
        box = Place(id=f"box-{n}", kind=PlaceKind.BOX, name=f"Box {n}", within=cage.id, order=n)
        places += [cage, box]
    book = opened.nest_book
    book.put_places(places)
    cock, hen = book.add_bird(sex=Sex.COCK, ring="C"), book.add_bird(sex=Sex.HEN, ring="H")
    book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=date(2026, 2, 1))
    yield opened
    opened.close()


def look(records: Records, day: float, eggs: int, box: str = "box-1", **more: object) -> None:
    at = START + timedelta(days=day)
    check = NestCheck(
        form_id=uuid4(),
        box=box,
        at=at,
        eggs=eggs,
        chicks=0,
        **more,  # type: ignore[arg-type]
    )
    answer = NestCheckPath(records.nest_book, FixedClock(at)).record(check)
    assert isinstance(answer, Recorded), answer


def a_round(records: Records, day: float) -> None:
    """One egg that is lost, and a long pause: the round is over."""
    look(records, day, 0)
    look(records, day + 1, 1)
    look(records, day + 9, 0, lost=(EggLost(number=1, fate=EggFate.BROKEN),))


def test_the_clutch_before_may_be_one_that_another_box_still_shows(records: Records) -> None:
    a_round(records, 0)
    book = records.nest_book
    last, pair = book.nest("box-1").clutch, book.nest("box-1").pair
    assert pair is not None
    day = date(2026, 3, 12)
    records.birds.end_pair(pair.id, on=day, by=None, at=START)
    book.put_up(cage="cage-2", cock_id=pair.cock.id, hen_id=pair.hen.id, on=day)
    cock, hen = book.add_bird(sex=Sex.COCK), book.add_bird(sex=Sex.HEN)
    book.put_up(cage="cage-1", cock_id=cock.id, hen_id=hen.id, on=day)
    nests = {nest.box.id: nest for nest in book.nests()}
    assert nests["box-2"].before == last
    assert nests["box-1"].before is None


def test_the_clutch_before_is_the_hens_last_one(records: Records) -> None:
    assert records.nest_book.nest("box-1").before is None
    a_round(records, 0)
    assert records.nest_book.nest("box-1").before is None
    look(records, 12, 1)
    nest = records.nest_book.nest("box-1")
    assert nest.clutch is not None
    assert nest.before is not None
    assert (nest.before.round, nest.clutch.round) == (1, 2)


def test_the_clutch_before_follows_the_hen_into_another_cage(records: Records) -> None:
    a_round(records, 0)
    book = records.nest_book
    other = book.add_bird(sex=Sex.COCK, ring="D")
    hen = next(bird for bird in book.birds() if bird.sex is Sex.HEN)
    records.birds.end_pair(1, on=date(2026, 3, 12), by="Ida", at=START + timedelta(days=11))
    book.put_up(cage="cage-2", cock_id=other.id, hen_id=hen.id, on=date(2026, 3, 13))
    nest = book.nest("box-2")
    assert nest.before is not None
    assert nest.before.box == "box-1"
    assert book.nest("box-1").before is None


def test_a_box_that_is_off_says_since_when(records: Records) -> None:
    row = {"box": "box-2", "since": START, "by": None}
    records.transactions.write(lambda found: found.execute(BOXES_OFF.insert().values(row)))
    assert [nest.off_since for nest in records.nest_book.nests()] == [None, START]


@pytest.mark.parametrize(("closed", "resting"), [(None, False), (date(2026, 8, 1), True)])
def test_every_nest_of_a_shed_that_rests_says_so(
    records: Records, closed: date | None, resting: bool
) -> None:
    row = {"name": "2026", "began_on": date(2026, 1, 1), "closed_on": closed}
    records.transactions.write(lambda found: found.execute(SEASONS.insert().values(row)))
    assert [nest.resting for nest in records.nest_book.nests()] == [resting, resting]


def test_a_guest_brings_the_looks_into_its_own_box(records: Records) -> None:
    look(records, 0, 0)
    look(records, 1, 1)
    look(records, 3, 2)
    book = records.nest_book
    clutch = book.nest("box-1").clutch
    assert clutch is not None
    at = START + timedelta(days=4)
    book.move([(clutch.eggs[1].id, "box-1")], to_box="box-2", at=at, why="", now=at)
    (guest,) = book.nest("box-2").guests
    assert guest.home is not None
    assert guest.home.name == "Box 1"
    assert [check.eggs for check in guest.checks] == [0, 1, 2]


def test_what_seasons_left_behind_is_not_read_again(
    records: Records, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = Counter[str]()
    for module, name in ((sql_nest_reading, "bird_of"), (sql_clutch_reading, "clutch_of")):
        make = getattr(module, name)

        def count(*told: object, _make: Any = make, _name: str = name) -> object:
            made[_name] += 1
            return _make(*told)

        monkeypatch.setattr(module, name, count)
    read = []
    for number in range(6):
        a_round_with_a_fostered_egg(records, 40.0 * number)
        records.nest_book.add_bird(sex=Sex.HEN)
        made.clear()
        records.nest_book.nests()
        read.append(dict(made))
    assert read[-1] == read[1]


def a_round_with_a_fostered_egg(records: Records, day: float) -> None:
    book = records.nest_book
    look(records, day, 0)
    look(records, day + 1, 1)
    clutch = book.nest("box-1").clutch
    assert clutch is not None
    at = START + timedelta(days=day + 2)
    book.move([(clutch.eggs[0].id, "box-1")], to_box="box-2", at=at, now=at)
    lost = GuestSeen(egg_id=clutch.eggs[0].id, lost=EggFate.BROKEN)
    look(records, day + 3, 0, "box-2", guests=(lost,))
    look(records, day + 9, 0)
