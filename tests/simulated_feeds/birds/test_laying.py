"""When eggs come, and how many, against what is published or practised."""

from collections import Counter
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import mean, median

import pytest

from simulated_feeds.birds.pair import pairs_for
from simulated_feeds.birds.parameters import BirdParameters, Laying
from simulated_feeds.day import AirDay
from tests.simulated_feeds.birds.invented_air import steady_air
from tests.simulated_feeds.birds.lived_seasons import PUT_UP, Lived, live, wide_season

DAY = timedelta(days=1)


@pytest.fixture
def season() -> Lived:
    return wide_season()


def test_first_egg_comes_8_to_22_days_after_entry_with_a_median_of_9(season: Lived) -> None:
    # Behaviour (1977), doi 10.1163/156853977x00243: median 9 d, range 8 to 22 d.
    days = [(clutch.eggs[0].laid_at - clutch.entered_at) / DAY for clutch in season.clutches]
    assert all(8 <= one <= 22 for one in days)
    assert 8.6 <= median(days) <= 9.6


def test_eggs_follow_each_other_about_every_48_hours(season: Lived) -> None:
    # every other day: common practice, no source
    hours = [
        (later.laid_at - earlier.laid_at) / timedelta(hours=1)
        for clutch in season.clutches
        for earlier, later in pairwise(clutch.eggs)
    ]
    assert 46 <= mean(hours) <= 51
    assert all(36 < one < 84 for one in hours)


def test_clutches_are_of_about_five_eggs(season: Lived) -> None:
    # about 5: extension e-course, Indian agricultural statistics institute; 1 to 9: Hussain et
    # al., Pure and Applied Biology
    sizes = Counter(len(clutch.eggs) for clutch in season.clutches)
    assert 4.5 <= sum(size * count for size, count in sizes.items()) / sizes.total() <= 5.7
    assert min(sizes) >= 1
    assert max(sizes) <= 9


def test_hens_begin_to_sit_with_egg_one_to_three(season: Lived) -> None:
    # from the first, second or third egg: common practice, no source
    for clutch in season.clutches:
        laid = [egg.laid_at for egg in clutch.eggs]
        assert clutch.sitting_from in laid[:3]


def test_a_clear_majority_of_boxes_is_cleared_by_the_first_egg(season: Lived) -> None:
    cleared = [clutch.cleared for clutch in season.clutches]
    assert 0.8 <= mean(cleared) < 1


def dark_air(at: datetime) -> AirDay:
    """Six and a half hours of light a day."""
    usual = steady_air(at)
    light = usual.light_lx.copy()
    light[12 * 60 :] = 0.0
    return replace(usual, light_lx=light)


def test_short_days_delay_the_first_egg() -> None:
    # 14 h of light lay faster than shorter days: J. Zool. 1973,
    # doi 10.1111/j.1469-7998.1973.tb05061.x
    pairs = pairs_for([f"box-{n}" for n in range(1, 9)], PUT_UP, seed=4, rounds=1, spread_days=1)
    light, dark = live(pairs, 40, seed=4), live(pairs, 40, seed=4, air=dark_air)
    first = {one.box: one.eggs[0].laid_at for one in light.clutches}
    later = {one.box: one.eggs[0].laid_at for one in dark.clutches}
    assert later
    assert all(later[box] - first[box] > 3 * DAY for box in later)


def test_no_round_begins_that_could_not_end_in_time() -> None:
    ended = PUT_UP + timedelta(days=150)
    pairs = pairs_for(["box-1", "box-2"], PUT_UP, seed=6, ended_on=ended, rounds=9)
    lived = live(pairs, 160, seed=6)
    assert lived.clutches
    for egg in lived.eggs:
        assert egg.fate is not None
        assert egg.chick is None or egg.chick.fate in ("died", "fledged", "weaned")


def test_first_egg_keeps_to_parameters_of_its_own() -> None:
    laying = Laying(least_days=4, median_days=5, most_days=7)
    pairs = pairs_for([f"box-{n}" for n in range(1, 9)], PUT_UP, seed=4, rounds=1)
    lived = live(pairs, 30, seed=4, parameters=BirdParameters(laying=laying))
    days = [(clutch.eggs[0].laid_at - clutch.entered_at) / DAY for clutch in lived.clutches]
    assert len(days) == 8
    assert all(4 <= one <= 7 for one in days)
