"""Days in their order, and the same each time."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from simulated_feeds.birds.aviary import Aviary
from simulated_feeds.birds.pair import PairUp, pairs_for
from simulated_feeds.birds.parameters import Bedding, BirdParameters
from simulated_feeds.day import DAY, Kind, NestDay, Who
from simulated_feeds.happening import Happening, What
from tests.simulated_feeds.birds.invented_air import BOXES, ZONE, steady_air
from tests.simulated_feeds.birds.lived_seasons import FIRST_DAY, PUT_UP, live


def aviary(pairs: tuple[PairUp, ...], seed: int = 5) -> Aviary:
    return Aviary(BirdParameters(), pairs, seed=seed, zone=ZONE, boxes=BOXES[:3])


def pairs(seed: int = 5) -> tuple[PairUp, ...]:
    return pairs_for(BOXES[:2], PUT_UP, seed=seed, spread_days=1)


def test_days_must_follow_each_other() -> None:
    birds = aviary(pairs())
    birds.plan(FIRST_DAY)
    with pytest.raises(ValueError, match="planned and not lived"):
        birds.plan(FIRST_DAY)
    birds.live(steady_air(FIRST_DAY))
    with pytest.raises(ValueError, match="is not the one that follows"):
        birds.plan(FIRST_DAY + 2 * DAY)


def test_a_day_that_was_not_planned_is_not_lived() -> None:
    birds = aviary(pairs())
    with pytest.raises(ValueError, match="was not planned"):
        birds.live(steady_air(FIRST_DAY))


def test_boxes_are_told_of_in_their_order_empty_ones_too() -> None:
    told = aviary(pairs()).plan(FIRST_DAY)
    assert [day.box for day in told] == ["box-1", "box-2", "box-3"]
    assert told[2].stays == ()
    assert not told[2].bedding_g.any()


def same(one: NestDay, other: NestDay) -> bool:
    arrays = ("bedding_g", "eggs_g", "brood_g", "droppings_g", "warm_share")
    return (one.stays, one.events, one.handled, one.hen_g) == (
        other.stays,
        other.events,
        other.handled,
        other.hen_g,
    ) and all(np.array_equal(getattr(one, name), getattr(other, name)) for name in arrays)


def test_equal_seeds_give_equal_days_and_others_do_not() -> None:
    one, again = live(pairs(), 40, seed=5, keep=True), live(pairs(), 40, seed=5, keep=True)
    other = live(pairs(), 40, seed=6, keep=True)
    flat = [[day for told in lived.days for day in told] for lived in (one, again, other)]
    assert all(same(a, b) for a, b in zip(flat[0], flat[1], strict=True))
    assert not all(same(a, b) for a, b in zip(flat[0], flat[2], strict=True))
    assert one.clutches == again.clutches


def test_a_box_does_not_depend_on_the_others() -> None:
    alone = live(pairs()[:1], 60, seed=5)
    together = live(pairs(), 60, seed=5)
    assert alone.clutches == tuple(c for c in together.clutches if c.box == "box-1")


def test_pairs_put_up_before_the_first_day_have_lived_until_then() -> None:
    whole = live(pairs(), 60, seed=5)
    late = live(pairs(), 20, seed=5, first=FIRST_DAY + 40 * DAY)
    laid = [[egg.laid_at.date() for egg in lived.eggs] for lived in (whole, late)]
    assert laid[0] == laid[1]
    assert laid[0]


def test_a_hen_that_does_not_clear_leaves_most_of_the_bedding() -> None:
    happening = Happening(
        what=What.DOES_NOT_CLEAR,
        since=datetime(2026, 1, 1, tzinfo=UTC),
        until=datetime(2026, 6, 1, tzinfo=UTC),
        who="box-1",
    )
    tidy = BirdParameters(bedding=Bedding(lazy_share=0.0))
    lived = live(pairs(), 40, seed=5, happenings=(happening,), parameters=tidy)
    left = {clutch.box: clutch for clutch in lived.clutches}
    assert left["box-1"].bedding_left_g > 90
    assert not left["box-1"].cleared
    assert left["box-2"].cleared


def test_a_hen_off_her_eggs_is_not_in_the_box() -> None:
    since = FIRST_DAY + timedelta(days=30, hours=3)
    off = Happening(
        what=What.OFF_HER_EGGS, since=since, until=since + timedelta(hours=8), who="box-1"
    )
    lived = live(pairs(), 35, seed=5, happenings=(off,), keep=True)
    day = next(
        d for told in lived.days for d in told if d.box == "box-1" and d.at <= since < d.at + DAY
    )
    hen = [stay for stay in day.stays if stay.who is Who.HEN]
    assert hen
    assert all(stay.until <= off.since or stay.since >= off.until for stay in hen)
    assert day.warm_share[4 * 60] < 0.9 < day.warm_share[60]


def test_without_a_keeper_nobody_looks_and_nothing_is_taken_out() -> None:
    birds = Aviary(BirdParameters(), pairs(), seed=5, zone=ZONE, keeper=None)
    at, kinds = FIRST_DAY, set()
    for _ in range(60):
        told = birds.plan(at)
        birds.live(steady_air(at))
        assert all(day.handled == () for day in told)
        kinds |= {event.kind for day in told for event in day.events}
        at += DAY
    assert birds.looks() == ()
    assert Kind.HATCHED in kinds
    assert Kind.TAKEN_OUT not in kinds


def test_what_live_returns_differs_from_the_plan_by_the_eggs_water_alone() -> None:
    birds = aviary(pairs())
    at, seen = FIRST_DAY, 0.0
    for _ in range(30):
        planned = birds.plan(at)
        lived = birds.live(steady_air(at, vapour_pa=1200.0))
        for one, other in zip(planned, lived, strict=True):
            assert one.events == other.events
            assert np.array_equal(one.brood_g, other.brood_g)
            seen = max(seen, float(np.abs(one.eggs_g - other.eggs_g).max()))
        at += DAY
    assert 0 < seen < 0.1


@pytest.mark.parametrize("hour", [0, 11, 20])
def test_every_egg_and_chick_has_its_fate_by_the_end_whenever_days_begin(hour: int) -> None:
    nine = pairs_for(BOXES[:4], PUT_UP, seed=1, spread_days=3)
    lived = live(nine, 200, seed=1, first=FIRST_DAY + timedelta(hours=hour))
    assert [clutch.round for clutch in lived.clutches] == [1, 2] * 4
    assert all(egg.fate is not None for egg in lived.eggs)
    assert all(chick.fate is not None for chick in lived.chicks)
    assert all(clutch.over_at is not None for clutch in lived.clutches)
