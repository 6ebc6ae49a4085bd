"""What a pair has brought, in words with numbers."""

from dataclasses import replace

from dashboards.views.pair_history import pair_history
from service.nests.nest import Candling, ChickFate, Clutch, EggFate, Move
from tests.dashboards.filled_shed import ZONE
from tests.service.nests.nests_in_days import chick, day, egg

FIRST = Clutch(
    id=1,
    box="box-1",
    pair_id=7,
    round=1,
    eggs=(
        egg(1, 5, fate=EggFate.HATCHED, candling=Candling.UNSURE),
        egg(2, 7, fate=EggFate.HATCHED, candling=Candling.FERTILE),
        egg(3, 9, fate=EggFate.DEAD_IN_SHELL),
        egg(4, 11, fate=EggFate.CLEAR, candling=Candling.FERTILE),
        egg(5, 13, fate=EggFate.BROKEN),
        egg(6, 15, fate=EggFate.BROKEN),
    ),
    chicks=(
        chick(1, 25, fate=ChickFate.WEANED, fate_at=day(68)),
        chick(2, 25, fate=ChickFate.DIED, fate_at=day(30)),
    ),
    closed_at=day(68),
)
SECOND = Clutch(id=2, box="box-1", pair_id=7, round=2, eggs=(egg(7, 70), egg(8, 72)))


def test_a_round_is_told_with_all_its_numbers() -> None:
    # Known: two hatched and one dead in the shell were fertile, the clear one was not,
    # whatever a light had shown; of the broken ones nobody knows.
    assert pair_history([FIRST], day(75), ZONE) == (
        "First round from 6 March: 6 eggs, 3 fertile of 4 known, 2 hatched, 1 out of the box, "
        "1 died, 2 broken, 1 clear, 1 dead in shell.",
    )


def test_a_round_that_goes_on_says_so_and_several_are_summed_up() -> None:
    told = pair_history([FIRST, SECOND], day(75), ZONE)
    assert told[1] == "Second round from 10 May, going on: 2 eggs, 0 hatched."
    assert told[2].startswith("In all 2 rounds: 8 eggs, 3 fertile of 4 known, 2 hatched, ")


def test_another_year_is_named() -> None:
    later = day(75).replace(year=2027)
    assert pair_history([FIRST], later, ZONE)[0].startswith("First round from 6 March 2026: ")


def test_eggs_that_went_to_other_hens_are_counted() -> None:
    move = Move(id=1, at=day(73), from_box="box-1", to_box="box-2")
    moved = replace(SECOND, eggs=(SECOND.eggs[0], replace(SECOND.eggs[1], moves=(move,))))
    assert pair_history([moved], day(75), ZONE)[0].endswith("1 moved to other hens.")


def test_a_pair_without_eggs_has_no_history() -> None:
    assert pair_history([], day(75), ZONE) == ()
