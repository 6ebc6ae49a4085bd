"""A look that says that all is as it was."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest

from service.nests.nest import (
    BeddingSeen,
    Candling,
    Chick,
    ChickFate,
    ChickGone,
    ChickRinged,
    Clutch,
    Egg,
    EggCandled,
    EggFate,
    EggLost,
    GuestSeen,
    HenSeen,
    Nest,
    NestCheck,
    Weighed,
)
from service.nests.place import Place, PlaceKind
from service.nests.plain_look import is_plain, lies_there, plain_look

NOW = datetime(2026, 4, 21, 8, tzinfo=UTC)
BOX = Place(id="box-1", kind=PlaceKind.BOX, name="Box 1")


def egg(number: int, fate: EggFate | None = None) -> Egg:
    at = NOW - timedelta(days=10)
    return Egg(id=number, number=number, laid_from=at, laid_to=at, fate=fate)


def nest() -> Nest:
    chick = Chick(id=1, egg_number=1, hatched_from=NOW, hatched_to=NOW)
    eggs = (egg(1, EggFate.HATCHED), egg(2), egg(3, EggFate.CLEAR), egg(4))
    clutch = Clutch(id=1, box="box-1", pair_id=1, round=1, eggs=eggs, chicks=(chick,))
    return Nest(box=BOX, clutch=clutch)


def test_what_is_lost_or_hatched_is_no_egg_that_lies_there() -> None:
    assert lies_there(nest()) == (2, 1)


def test_nothing_of_a_clutch_that_is_over_lies_there() -> None:
    over = nest()
    assert over.clutch is not None
    assert lies_there(replace(over, clutch=replace(over.clutch, closed_at=NOW))) == (0, 0)


def test_a_plain_look_counts_what_the_book_has_and_claims_nothing_of_the_hen() -> None:
    look = plain_look(nest(), uuid4(), NOW, by="Mara")
    assert (look.eggs, look.chicks, look.hen, look.by) == (2, 1, HenSeen.NOT_SEEN, "Mara")
    assert is_plain(look)


@pytest.mark.parametrize(
    "told",
    [
        {"hatched": (2,)},
        {"lost": (EggLost(number=2, fate=EggFate.BROKEN),)},
        {"candled": (EggCandled(number=2, result=Candling.FERTILE),)},
        {"ringed": (ChickRinged(egg_number=1, ring="7"),)},
        {"gone": (ChickGone(egg_number=1, fate=ChickFate.DIED),)},
        {"guests": (GuestSeen(egg_id=9),)},
        {"not_in_sight": (2,)},
        {"weighed": (Weighed(egg_number=2, mass_g=2.1),)},
        {"bedding": BeddingSeen(thrown_out=True)},
        {"hide_in": True},
        {"note": "restless"},
        {"hen": HenSeen.SITTING},
    ],
    ids=lambda told: next(iter(told)),
)
def test_a_look_that_tells_anything_is_not_plain(told: dict[str, object]) -> None:
    look = NestCheck(form_id=uuid4(), box="box-1", at=NOW, eggs=2, chicks=1)
    assert not is_plain(replace(look, **told))  # type: ignore[arg-type]
