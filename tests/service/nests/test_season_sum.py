"""How a season went, from clutches that are known whole."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from service.nests.fertility import fertility
from service.nests.nest import (
    Bird,
    Candling,
    Chick,
    ChickFate,
    Clutch,
    Egg,
    EggFate,
    Pair,
    Sex,
)
from service.nests.season import Season, is_resting, season_of
from service.nests.season_sum import earlier, pooled, season_sums, sum_of
from service.nests.share import Share

DAY = timedelta(days=1)
LAID = datetime(2026, 3, 10, 8, tzinfo=UTC)


def egg(number: int, fate: EggFate | None = None, candling: Candling | None = None) -> Egg:
    at = LAID + 2 * number * DAY
    return Egg(
        id=number,
        number=number,
        laid_from=at - DAY / 2,
        laid_to=at,
        fate=fate,
        candling=candling,
        fate_to=at + 18 * DAY if fate else None,
    )


def chick(number: int, fate: ChickFate | None = None, after: int = 30) -> Chick:
    hatched = LAID + (2 * number + 18) * DAY
    return Chick(
        id=number,
        egg_number=number,
        hatched_from=hatched - DAY / 2,
        hatched_to=hatched,
        fate=fate,
        fate_at=hatched + after * DAY if fate else None,
    )


def clutch(pair: int, *parts: Egg | Chick) -> Clutch:
    return Clutch(
        id=pair,
        box="box-1",
        pair_id=pair,
        round=1,
        eggs=tuple(part for part in parts if isinstance(part, Egg)),
        chicks=tuple(part for part in parts if isinstance(part, Chick)),
    )


def pair(number: int, put_up_on: date) -> Pair:
    cock, hen = Bird(id=2 * number, sex=Sex.COCK), Bird(id=2 * number + 1, sex=Sex.HEN)
    return Pair(id=number, cage="cage-1", cock=cock, hen=hen, put_up_on=put_up_on)


WHOLE = clutch(
    1,
    egg(1, EggFate.HATCHED, Candling.FERTILE),
    egg(2, EggFate.CLEAR, Candling.CLEAR),
    egg(3, EggFate.DEAD_IN_SHELL, Candling.UNSURE),
    egg(4, EggFate.HATCHED),
    egg(5, EggFate.BROKEN),
    egg(6, None, Candling.FERTILE),
    egg(7, EggFate.HATCHED),
    egg(8, EggFate.HATCHED),
    chick(1, ChickFate.WEANED),
    chick(4, ChickFate.DIED),
    chick(7, ChickFate.FLEDGED, after=33),
    chick(8),
)


def test_eggs_hatched_and_fledged_are_counted() -> None:
    found = sum_of([WHOLE])
    assert (found.clutches, found.eggs, found.hatched, found.fledged) == (1, 8, 4, 2)
    assert (found.lying, found.in_box) == (1, 1)


def test_each_share_is_of_those_that_are_known() -> None:
    found = sum_of([WHOLE])
    # Known: 1, 2, 3, 4, 6, 7, 8; egg 5 broke before a light went through it.
    assert found.fertile_share == Share(count=6, of=7)
    # Egg 6 still lies.
    assert found.hatched_share == Share(count=4, of=7)
    # Chick 8 is still in the box.
    assert found.fledged_share == Share(count=2, of=3)


def test_losses_are_told_by_cause() -> None:
    assert sum_of([WHOLE]).losses == (
        (EggFate.CLEAR, 1),
        (EggFate.DEAD_IN_SHELL, 1),
        (EggFate.BROKEN, 1),
        (ChickFate.DIED, 1),
    )


def test_dates_are_those_of_the_first_and_the_last() -> None:
    found = sum_of([WHOLE])
    assert found.first_egg is not None
    assert (found.first_egg.since, found.first_egg.until) == (LAID + 1.5 * DAY, LAID + 2 * DAY)
    assert found.last_egg is not None
    assert found.last_egg.until == LAID + 16 * DAY
    assert found.first_hatch is not None
    assert found.first_hatch.until == LAID + 20 * DAY
    assert found.last_out == LAID + (14 + 18 + 33) * DAY


def test_a_chick_that_went_elsewhere_says_nothing_of_fledging() -> None:
    moved = clutch(1, egg(1, EggFate.HATCHED), chick(1, ChickFate.MOVED))
    assert sum_of([moved]).fledged_share == Share(count=0, of=0)
    assert sum_of([moved]).moved == 1


def test_nothing_is_nought_of_everything() -> None:
    found = sum_of([clutch(1)])
    assert (found.clutches, found.eggs, found.losses, found.first_egg) == (0, 0, (), None)


@pytest.mark.parametrize(
    ("fate", "candling", "known"),
    [
        (EggFate.HATCHED, None, True),
        (EggFate.HATCHED, Candling.CLEAR, True),
        (EggFate.DEAD_IN_SHELL, None, True),
        (EggFate.CLEAR, None, False),
        (EggFate.CLEAR, Candling.FERTILE, False),
        (EggFate.BROKEN, Candling.FERTILE, True),
        (EggFate.MISSING, Candling.CLEAR, False),
        (EggFate.ADDLED, None, None),
        (EggFate.BROKEN, Candling.UNSURE, None),
        (None, Candling.UNSURE, None),
        (None, None, None),
    ],
)
def test_fertility_is_told_by_fate_then_by_the_light(
    fate: EggFate | None, candling: Candling | None, known: bool | None
) -> None:
    assert fertility(egg(1, fate, candling)) is known


OLD = Season(id=1, name="2025", began_on=date(2025, 1, 1), closed_on=date(2025, 10, 1))
NEW = Season(id=2, name="2026", began_on=date(2026, 2, 1))


@pytest.mark.parametrize(
    ("day", "season"),
    [
        (date(2024, 12, 31), None),
        (date(2025, 1, 1), OLD),
        (date(2025, 12, 1), OLD),  # put up while the birds rest
        (date(2026, 2, 1), NEW),
    ],
)
def test_a_day_belongs_to_the_last_season_that_had_begun(day: date, season: Season | None) -> None:
    assert season_of(day, [OLD, NEW]) == season


def test_seasons_are_summed_apart_newest_first() -> None:
    pairs = [pair(1, date(2025, 3, 1)), pair(2, date(2026, 3, 1)), pair(3, date(2024, 3, 1))]
    clutches = [
        laid_in(2025, clutch(1, egg(1))),
        clutch(2, egg(1), egg(2)),
        laid_in(2024, clutch(3, egg(1))),
    ]
    found = season_sums([OLD, NEW], pairs, clutches)
    told = [(one.season and one.season.name, one.all.eggs) for one in found]
    assert told == [("2026", 2), ("2025", 1), (None, 1)]
    assert [one.season for one in earlier(found, found[0])] == [OLD, None]


def laid_in(year: int, of: Clutch) -> Clutch:
    eggs = (replace(one, laid_to=one.laid_to.replace(year=year)) for one in of.eggs)
    return replace(of, eggs=tuple(eggs))


def test_a_pair_that_stays_together_counts_in_each_season_for_what_it_laid_there() -> None:
    clutches = [laid_in(2025, clutch(1, egg(1))), clutch(1, egg(1), egg(2))]
    found = season_sums([OLD, NEW], [pair(1, date(2025, 3, 1))], clutches)
    told = [(one.season, [(of.pair.id, of.sum.eggs) for of in one.pairs]) for one in found]
    assert told == [(NEW, [(1, 2)]), (OLD, [(1, 1)])]


def test_a_pair_that_was_put_up_early_counts_where_it_laid() -> None:
    found = season_sums([OLD, NEW], [pair(1, date(2026, 1, 20))], [clutch(1, egg(1))])
    assert [(one.season, one.all.eggs, len(one.pairs)) for one in found] == [
        (NEW, 1, 1),
        (OLD, 0, 0),
    ]


def test_a_pair_without_an_egg_is_in_its_season() -> None:
    (found,) = season_sums([OLD], [pair(1, date(2025, 3, 1))], [])
    assert [(one.pair.id, one.sum.eggs) for one in found.pairs] == [(1, 0)]


def test_several_seasons_are_pooled_by_their_eggs() -> None:
    assert pooled([Share(count=1, of=2), Share(count=5, of=5)]) == Share(count=6, of=7)
    assert pooled([]) == Share(count=0, of=0)


@pytest.mark.parametrize(
    ("seasons", "resting"),
    [([], False), ([OLD], True), ([OLD, NEW], False), ([NEW], False)],
    ids=["none told", "closed", "another began", "goes on"],
)
def test_the_birds_rest_when_every_season_is_closed(seasons: list[Season], resting: bool) -> None:
    assert is_resting(seasons) is resting
