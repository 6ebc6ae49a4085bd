"""When eggs hatch, and of whom."""

from collections import defaultdict
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from statistics import mean

import pytest

from simulated_feeds.birds.pair import pairs_for
from simulated_feeds.happening import Happening, What
from tests.simulated_feeds.birds.lived_seasons import PUT_UP, Lived, live, wide_season

DAY = timedelta(days=1)


@pytest.fixture
def season() -> Lived:
    return wide_season()


def days_to_hatch(lived: Lived) -> list[float]:
    return [
        (egg.chick.hatched_at - egg.grew_from) / DAY
        for egg in lived.eggs
        if egg.chick is not None and egg.grew_from is not None
    ]


def test_eggs_hatch_about_18_days_after_they_were_sat_on(season: Lived) -> None:
    # 18 d: extension e-course, Indian agricultural statistics institute; 17 to 20: common
    # practice, no source
    days = days_to_hatch(season)
    assert len(days) > 150
    assert mean(days) == pytest.approx(18.1, abs=0.25)
    assert all(17 <= one <= 20 for one in days)


def test_a_brood_hatches_over_days_in_laying_order_but_for_those_that_waited(
    season: Lived,
) -> None:
    spans = []
    for clutch in season.clutches:
        hatched = [egg for egg in clutch.eggs if egg.chick is not None]
        late = [egg for egg in hatched if egg.grew_from == egg.laid_at]
        for earlier, later in pairwise(late):
            assert earlier.chick is not None
            assert later.chick is not None
            assert later.chick.hatched_at > earlier.chick.hatched_at - DAY
        times = sorted(egg.chick.hatched_at for egg in hatched if egg.chick is not None)
        if len(times) > 2:
            spans.append((times[-1] - times[0]) / DAY)
    # chicks hatch over days: common practice, no source
    assert mean(spans) > 3


def test_shares_of_eggs_that_hatch_lie_between_published_extremes(season: Lived) -> None:
    # 29.69 % of 537 eggs: Hussain et al., Pure and Applied Biology; above 90 %: Banaszewska et
    # al. 2014, Acta Sci. Pol. Zootechnica 13(3), 29-36
    known = [egg for egg in season.eggs if egg.fate is not None]
    share = mean(egg.fate == "hatched" for egg in known)
    assert 0.2969 < share < 0.9324


def test_an_egg_never_hatches_that_is_not_fertile_or_has_died(season: Lived) -> None:
    for egg in season.eggs:
        if egg.chick is not None:
            assert egg.fertile
            assert egg.died_at is None
        if egg.fate == "clear":
            assert not egg.fertile
        if egg.fate in ("addled", "dead in shell"):
            assert egg.fertile
            assert egg.died_at is not None


def test_a_hen_off_her_eggs_for_a_day_delays_hatching_by_nearly_so_much() -> None:
    pairs = pairs_for(["box-1", "box-2", "box-3"], PUT_UP, seed=12, rounds=1, spread_days=1)
    usual = live(pairs, 60, seed=12)
    sat = min(one.sitting_from for one in usual.clutches if one.sitting_from is not None)
    begin = (sat + 10 * DAY).replace(hour=0, minute=0, second=0)
    off = Happening(what=What.OFF_HER_EGGS, since=begin, until=begin + DAY)
    chilled = live(pairs, 60, seed=12, happenings=(off,))
    before = {egg.name: egg for egg in usual.eggs if egg.chick is not None}
    delays = defaultdict(list)
    for egg in chilled.eggs:
        known = before.get(egg.name)
        if known is not None and known.chick is not None and egg.chick is not None:
            sat_then = egg.grew_from is not None and egg.grew_from < begin
            delays[sat_then].append(egg.chick.hatched_at - known.chick.hatched_at)
    assert delays[True]
    assert all(0.9 * DAY < delay < 1.1 * DAY for delay in delays[True])
    assert not any(delays[False])


def test_a_day_of_chill_kills_as_its_effect_says() -> None:
    # That long cooling kills: Webb 1987, Condor 89, 874-898; how much: the parameter's own.
    pairs = pairs_for([f"box-{n}" for n in range(1, 9)], PUT_UP, seed=2, rounds=1, spread_days=1)
    usual = live(pairs, 60, seed=2)
    off = Happening(
        what=What.OFF_HER_EGGS,
        since=datetime(2026, 2, 1, tzinfo=UTC),
        until=datetime(2026, 2, 3, tzinfo=UTC),
    )
    chilled = live(pairs, 60, seed=2, happenings=(off,))
    assert len(days_to_hatch(chilled)) < 0.5 * len(days_to_hatch(usual))
