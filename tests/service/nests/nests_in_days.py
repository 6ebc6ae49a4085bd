"""Nests told in days: day 0 is noon of the day the pair was put up."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import uuid4

from service.nests.compare import Outcome, compare
from service.nests.nest import Bird, Chick, Clutch, Egg, Nest, NestCheck, Pair, Sex
from service.nests.place import Place, PlaceKind
from service.nests.species import SpeciesSettings

SPECIES = SpeciesSettings()
DAY_0 = datetime(2026, 3, 1, 12, tzinfo=UTC)
BOX = Place(id="box-1", kind=PlaceKind.BOX, name="Box 1", within="cage-1")
PAIR = Pair(
    id=7,
    cage="cage-1",
    cock=Bird(id=1, sex=Sex.COCK),
    hen=Bird(id=2, sex=Sex.HEN),
    put_up_on=date(2026, 3, 1),
)


def day(number: float) -> datetime:
    return DAY_0 + timedelta(days=number)


def look(at: float, eggs: int, chicks: int = 0, **more: Any) -> NestCheck:
    return NestCheck(form_id=uuid4(), box=BOX.id, at=day(at), eggs=eggs, chicks=chicks, **more)


def egg(number: int, laid: float, **more: Any) -> Egg:
    """Found by the look on day ``laid``, one day after a look without it."""
    return Egg(id=number, number=number, laid_from=day(laid - 1), laid_to=day(laid), **more)


def chick(number: int, hatched: float, **more: Any) -> Chick:
    return Chick(
        id=number, egg_number=number, hatched_from=day(hatched - 1), hatched_to=day(hatched), **more
    )


def nest(
    eggs: Sequence[Egg] = (),
    chicks: Sequence[Chick] = (),
    checks: Sequence[NestCheck] = (),
    *,
    pair: Pair | None = PAIR,
    **more: Any,
) -> Nest:
    clutch = Clutch(
        id=3, box=BOX.id, pair_id=7, round=1, eggs=tuple(eggs), chicks=tuple(chicks), **more
    )
    return Nest(box=BOX, pair=pair, clutch=clutch if eggs else None, checks=tuple(checks))


def found(check: NestCheck, before: Nest, species: SpeciesSettings = SPECIES) -> Outcome:
    """Compare a check that is told at once."""
    return compare(check, before, species, now=check.at)
