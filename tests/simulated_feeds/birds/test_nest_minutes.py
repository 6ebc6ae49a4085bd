"""What lies in a box, minute by minute: nothing comes from nowhere, and nothing is lost."""

from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest

from simulated_feeds.day import MINUTES, Event, Kind, NestDay, Who
from tests.simulated_feeds.birds.lived_seasons import Lived, minutes

DAY = timedelta(days=1)
BOXES = (0, 1, 2)


@pytest.fixture
def lived() -> Lived:
    return minutes()


def of_box(lived: Lived, place: int) -> list[NestDay]:
    return [told[place] for told in lived.days]


def at_minute(event: Event, day: NestDay) -> int:
    return -((day.at - event.at) // timedelta(minutes=1))


def whole(days: list[NestDay], name: str) -> np.ndarray:
    return np.concatenate([getattr(day, name) for day in days])


def steps(days: list[NestDay], kinds: set[Kind]) -> np.ndarray:
    """What the events say was added at each minute of all days [g]."""
    found = np.zeros(MINUTES * len(days) + 1)
    for number, day in enumerate(days):
        for event in day.events:
            if event.kind in kinds:
                found[number * MINUTES + at_minute(event, day)] += event.grams
    return found[:-1]


@pytest.mark.parametrize("place", BOXES)
def test_days_follow_each_other_and_tell_of_their_own_box(lived: Lived, place: int) -> None:
    days = of_box(lived, place)
    assert {day.box for day in days} == {f"box-{place + 1}"}
    assert all(later.at - earlier.at == DAY for earlier, later in pairwise(days))
    assert all(event.box == day.box for day in days for event in day.events)
    assert all(day.at <= event.at < day.at + DAY for day in days for event in day.events)


@pytest.mark.parametrize("place", BOXES)
def test_no_mass_is_negative(lived: Lived, place: int) -> None:
    days = of_box(lived, place)
    for name in ("bedding_g", "eggs_g", "brood_g", "droppings_g", "warm_share"):
        assert whole(days, name).min() >= -1e-9, name
    assert whole(days, "warm_share").max() <= 1


@pytest.mark.parametrize("place", BOXES)
def test_bedding_is_what_came_less_what_went_and_the_shells(lived: Lived, place: int) -> None:
    days = of_box(lived, place)
    bedding = whole(days, "bedding_g")
    told = np.cumsum(steps(days, {Kind.BEDDING_IN, Kind.BEDDING_OUT}))
    hatched = sum(event.kind is Kind.HATCHED for day in days for event in day.events)
    shells = bedding - told
    assert shells.min() > -1e-6
    assert np.diff(shells).min() > -1e-6
    # A shell with what stays in it: what is left of 85 % when the chick is 70 % of the egg.
    assert shells[-1] == pytest.approx(hatched * 0.15 * 2.2, rel=0.35)


@pytest.mark.parametrize("place", BOXES)
def test_eggs_are_those_laid_less_those_lost_hatched_and_their_water(
    lived: Lived, place: int
) -> None:
    days = of_box(lived, place)
    eggs = whole(days, "eggs_g")
    fresh = {egg.name: egg for egg in lived.eggs}
    laid = [e for day in days for e in day.events if e.kind is Kind.EGG_LAID]
    assert sum(event.grams for event in laid) == pytest.approx(
        sum(fresh[event.egg].fresh_g for event in laid if event.egg)
    )
    # Between events eggs only lose, and no faster than 2 % a day of all that lies there.
    quiet = np.abs(steps_of_eggs(days)) < 1e-12
    change = np.diff(eggs)
    still = quiet[1:]
    assert change[still].max() < 0.02  # what yesterday's air foretold wrongly, at midnight
    inside = still & (np.arange(1, len(eggs)) % MINUTES != 0)
    assert change[inside].max() <= 1e-9
    assert change[inside].min() > -0.02 * 20 / MINUTES
    # At events the step is what the event says.
    at_events = np.flatnonzero(~quiet[1:])
    assert np.allclose(change[at_events], steps_of_eggs(days)[1:][at_events], atol=0.03)


def steps_of_eggs(days: list[NestDay]) -> np.ndarray:
    """Laid and lost as told; a hatched egg leaves with the 0.85 or so that is left of it."""
    found = steps(days, {Kind.EGG_LAID, Kind.EGG_LOST})
    eggs = whole(days, "eggs_g")
    for number, day in enumerate(days):
        for event in day.events:
            if event.kind is Kind.HATCHED:
                at = number * MINUTES + at_minute(event, day)
                found[at] = eggs[at] - eggs[at - 1]
    return found


@pytest.mark.parametrize("place", BOXES)
def test_hatching_changes_no_sum(lived: Lived, place: int) -> None:
    days = of_box(lived, place)
    total = whole(days, "bedding_g") + whole(days, "eggs_g") + whole(days, "brood_g")
    seen = 0
    for number, day in enumerate(days):
        for event in day.events:
            at = number * MINUTES + at_minute(event, day)
            others = [e for e in day.events if e is not event and at_minute(e, day) == at % MINUTES]
            if event.kind is Kind.HATCHED and not others:
                assert total[at] - total[at - 1] == pytest.approx(0, abs=0.03)
                seen += 1
    assert seen > 2


@pytest.mark.parametrize("place", BOXES)
def test_brood_steps_down_by_who_leaves_and_else_moves_slowly(lived: Lived, place: int) -> None:
    days = of_box(lived, place)
    brood = whole(days, "brood_g")
    told = steps(days, {Kind.LEFT_THE_BOX, Kind.TAKEN_OUT})
    change = np.diff(brood) - told[1:]
    hatched = steps_at_hatching(days)
    quiet = ~hatched[1:]
    # Six chicks at their fastest gain some 3.5 g a day each.
    assert np.abs(change[quiet]).max() < 0.05
    assert brood[-1] == pytest.approx(0, abs=1e-9) or brood[-1] > 1


def steps_at_hatching(days: list[NestDay]) -> np.ndarray:
    found = np.zeros(MINUTES * len(days), dtype=bool)
    for number, day in enumerate(days):
        for event in day.events:
            if event.kind is Kind.HATCHED:
                found[number * MINUTES + at_minute(event, day)] = True
    return found


@pytest.mark.parametrize("place", BOXES)
def test_droppings_grow_by_their_share_of_the_brood_until_cleaned(lived: Lived, place: int) -> None:
    days = of_box(lived, place)
    droppings, brood = whole(days, "droppings_g"), whole(days, "brood_g")
    cleaned = steps(days, {Kind.DROPPINGS_OUT})
    assert (cleaned < 0).any()
    grown = np.diff(droppings) - cleaned[1:]
    assert np.allclose(grown, 0.035 / MINUTES * brood[1:], atol=0.01)


@pytest.mark.parametrize("place", BOXES)
def test_stays_of_one_bird_are_in_order_within_the_day_and_do_not_overlap(
    lived: Lived, place: int
) -> None:
    for day in of_box(lived, place):
        for who in Who:
            stays = [stay for stay in day.stays if stay.who is who]
            assert all(day.at <= one.since < one.until <= day.at + DAY for one in stays)
            assert all(a.until <= b.since for a, b in pairwise(stays))


@pytest.mark.parametrize("place", BOXES)
def test_the_hen_is_in_the_box_when_an_egg_is_laid(lived: Lived, place: int) -> None:
    seen = 0
    for day in of_box(lived, place):
        for event in day.events:
            if event.kind is Kind.EGG_LAID:
                assert is_in(day, Who.HEN, event.at)
                seen += 1
    assert seen > 3


def is_in(day: NestDay, who: Who, at: datetime) -> bool:
    return any(stay.who is who and stay.since <= at < stay.until for stay in day.stays)


@pytest.mark.parametrize("place", BOXES)
def test_birds_weigh_what_budgerigars_do(lived: Lived, place: int) -> None:
    # 26 to 40 g wild, exhibition up to about 60 g: common practice, no source
    for day in of_box(lived, place):
        if day.stays:
            assert 26 <= day.hen_g <= 62
            assert 26 <= day.cock_g <= 62


@pytest.mark.parametrize("place", BOXES)
def test_most_of_the_bedding_is_out_by_the_first_egg(lived: Lived, place: int) -> None:
    for clutch in lived.clutches:
        if clutch.box == f"box-{place + 1}" and clutch.round == 1 and clutch.cleared:
            assert clutch.bedding_left_g < 60
