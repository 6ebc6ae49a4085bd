"""How far a nest is, and its counts."""

from dataclasses import replace

import pytest

from service.nests.nest import Candling, ChickFate, EggFate, Guest, Move, Nest
from service.nests.stage import Counts, Stage, counts, stage
from tests.service.nests.nests_in_days import chick, day, egg, look, nest

HATCHED = EggFate.HATCHED
LAID = [egg(1, 5), egg(2, 7)]
BOTH_OUT = [egg(1, 5, fate=HATCHED), egg(2, 7, fate=HATCHED)]


@pytest.mark.parametrize(
    ("told", "at", "expected"),
    [
        pytest.param(nest(pair=None), 3, Stage.EMPTY, id="no pair"),
        pytest.param(nest(), 3, Stage.PAIRED, id="a pair and no egg"),
        pytest.param(nest(LAID, checks=[look(8, 2)]), 8, Stage.LAYING, id="eggs to come"),
        pytest.param(nest(LAID, checks=[look(12, 2)]), 12, Stage.SITTING, id="a long pause"),
        pytest.param(
            nest([egg(1, 5, fate=HATCHED), egg(2, 7)], [chick(1, 25)], [look(25, 1, 1)]),
            25,
            Stage.HATCHING,
            id="one hatched, one to hatch",
        ),
        pytest.param(
            nest([egg(1, 5, fate=HATCHED), egg(2, 7)], [chick(1, 25)], [look(40, 1, 1)]),
            40,
            Stage.REARING,
            id="the other egg is long overdue",
        ),
        pytest.param(
            nest(BOTH_OUT, [chick(1, 25), chick(2, 27)], [look(40, 0, 2)]),
            40,
            Stage.REARING,
            id="chicks only",
        ),
        pytest.param(
            nest(BOTH_OUT, [chick(1, 25), chick(2, 27)], [look(53, 0, 2)]),
            53,
            Stage.LEAVING,
            id="the first may be out",
        ),
        pytest.param(
            nest(
                BOTH_OUT,
                [chick(1, 25, fate=ChickFate.FLEDGED), chick(2, 27, fate=ChickFate.DIED)],
                [look(53, 0)],
                closed_at=day(53),
            ),
            53,
            Stage.LEAVING,
            id="out and not yet weaned",
        ),
        pytest.param(
            nest(
                BOTH_OUT,
                [chick(1, 25, fate=ChickFate.WEANED), chick(2, 27, fate=ChickFate.DIED)],
                [look(70, 0)],
                closed_at=day(53),
            ),
            70,
            Stage.PAIRED,
            id="all over, pair still there",
        ),
    ],
)
def test_stage_is_what_the_nest_is_busy_with(told: Nest, at: float, expected: Stage) -> None:
    assert stage(told, day(at)) is expected


def test_counts_of_a_box_without_eggs_are_zero_and_unknown() -> None:
    assert counts(nest()) == Counts(eggs=0, fertile=None, hatched=0, chicks=0, first_egg=None)


def test_fertile_is_unknown_before_a_light_went_through_an_egg() -> None:
    assert counts(nest(LAID)).fertile is None


def test_fertile_is_none_at_all_when_all_were_clear() -> None:
    clear = [replace(one, candling=Candling.CLEAR) for one in LAID]
    assert counts(nest(clear)).fertile == 0


def test_egg_that_hatched_counts_as_fertile_without_a_light() -> None:
    assert counts(nest(BOTH_OUT, [chick(1, 25), chick(2, 27)])).fertile == 2


def test_counts_tell_hatched_from_those_still_in_the_box() -> None:
    told = nest(BOTH_OUT, [chick(1, 25, fate=ChickFate.FLEDGED), chick(2, 27)])
    assert counts(told) == Counts(eggs=2, fertile=2, hatched=2, chicks=1, first_egg=day(5))


def test_light_that_showed_nothing_sure_makes_no_egg_infertile() -> None:
    unsure = [replace(one, candling=Candling.UNSURE) for one in LAID]
    assert counts(nest(unsure)).fertile is None


def test_eggs_that_were_found_clear_are_known_without_a_light() -> None:
    assert counts(nest([replace(LAID[0], fate=EggFate.CLEAR), LAID[1]])).fertile == 0


def test_chick_that_is_away_is_counted_in_the_box_that_it_is_in() -> None:
    away = Move(id=1, at=day(26), from_box="box-1", to_box="box-2")
    eggs = [replace(BOTH_OUT[0], moves=(away,)), BOTH_OUT[1]]
    home = nest(eggs, [chick(1, 25), chick(2, 27)])
    assert counts(home).chicks == 1
    assert home.clutch is not None
    guest = Guest(clutch=home.clutch, egg=eggs[0], chick=home.clutch.chicks[0])
    assert counts(replace(nest(), guests=(guest,))).chicks == 1


def test_chick_that_left_from_another_box_leaves_its_own_hen_sitting() -> None:
    away = Move(id=1, at=day(6), from_box="box-1", to_box="box-2")
    eggs = [replace(BOTH_OUT[0], moves=(away,)), egg(2, 40)]
    out = chick(1, 25, fate=ChickFate.FLEDGED)
    home = nest(eggs, [out])
    assert stage(home, day(53)) is Stage.HATCHING
    assert home.clutch is not None
    guest = Guest(clutch=home.clutch, egg=eggs[0], chick=out)
    assert stage(replace(nest(), guests=(guest,)), day(53)) is Stage.LEAVING


@pytest.mark.parametrize(("fate", "expected"), [(None, Stage.SITTING), (HATCHED, Stage.REARING)])
def test_guests_keep_a_nest_busy(fate: EggFate | None, expected: Stage) -> None:
    home = nest([egg(1, 5, fate=fate)], [chick(1, 25)] if fate else [])
    assert home.clutch is not None
    guest = Guest(
        clutch=home.clutch,
        egg=home.clutch.eggs[0],
        chick=home.clutch.chicks[0] if fate else None,
    )
    assert stage(replace(nest(), guests=(guest,)), day(26)) is expected
