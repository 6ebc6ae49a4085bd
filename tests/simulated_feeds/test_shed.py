"""The simulated air, in every season: what the scenarios promise, and no more."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, time, timedelta
from itertools import pairwise, takewhile
from statistics import fmean

import pytest

from simulated_feeds.nest_story import sitting_since
from simulated_feeds.scenario import Scenario
from simulated_feeds.scenarios import scenario_named
from simulated_feeds.shed import Truth, truths

TruthsOf = Callable[[Scenario], tuple[Truth, ...]]
DARK_LX = 20.0


def within_night(found: tuple[Truth, ...], scenario: Scenario, nights_ago: int) -> list[Truth]:
    """The dark part between the noons around an evening."""
    noon = scenario.local(scenario.evening - timedelta(days=nights_ago), time(12))
    return [
        truth
        for truth in found
        if noon <= truth.at < noon + timedelta(days=1) and truth.light_lx < DARK_LX
    ]


def test_cold_night_is_below_its_limit_for_hours(season: Scenario, truths_of: TruthsOf) -> None:
    night = within_night(truths_of(season), season, 6)
    cold = [truth for truth in night if truth.shed.temperature_c < 4.8]
    assert len(cold) > 120
    assert min(truth.shed.temperature_c for truth in night) < 4.0


def test_damp_night_is_above_its_limit_for_hours(season: Scenario, truths_of: TruthsOf) -> None:
    night = within_night(truths_of(season), season, 3)
    assert sum(truth.shed.humidity_pct > season.damp_limit_pct + 2 for truth in night) > 120


def test_no_other_night_is_too_cold(season: Scenario, truths_of: TruthsOf) -> None:
    too_cold = [truth.at for truth in truths_of(season) if truth.shed.temperature_c < 6.0]
    begin = season.local(season.evening - timedelta(days=6), time(12))
    assert too_cold
    assert all(begin < at < begin + timedelta(days=1) for at in too_cold)


def test_no_other_time_is_too_damp(season: Scenario, truths_of: TruthsOf) -> None:
    too_damp = [truth.at for truth in truths_of(season) if truth.shed.humidity_pct > 78.0]
    begin = season.local(season.evening - timedelta(days=3), time(12))
    assert too_damp
    assert all(begin < at < begin + timedelta(days=1) for at in too_damp)


@pytest.mark.parametrize("name", ["season", "quiet"])
def test_air_of_the_present_is_comfortable(
    name: str, present: datetime, truths_of: TruthsOf
) -> None:
    scenario = scenario_named(name, present)
    now = [t.shed for t in truths_of(scenario) if t.at >= present - timedelta(hours=6)]
    assert all(10.0 < air.temperature_c < 22.0 for air in now)
    assert all(43.0 < air.humidity_pct < 72.0 for air in now)
    assert 45.0 < fmean(air.humidity_pct for air in now) < 70.0


def test_quiet_shed_stays_within_all_limits(present: datetime, truths_of: TruthsOf) -> None:
    found = truths_of(scenario_named("quiet", present))
    assert all(7.0 < truth.shed.temperature_c < 27.0 for truth in found)
    assert all(33.0 < truth.shed.humidity_pct < 77.0 for truth in found)


@pytest.mark.parametrize("seed", [2, 3])
def test_promises_hold_for_other_seeds(seed: int, season: Scenario) -> None:
    other = replace(season, seed=seed)
    until = other.origin
    found = tuple(takewhile(lambda truth: truth.at < until, truths(other)))
    cold, damp = (within_night(found, other, nights) for nights in (6, 3))
    assert min(truth.shed.temperature_c for truth in cold) < 4.5
    assert max(truth.shed.humidity_pct for truth in damp) > other.damp_limit_pct + 3


def test_humidities_lie_between_0_and_100(season: Scenario, truths_of: TruthsOf) -> None:
    for truth in truths_of(season):
        for air in (truth.shed, truth.outdoors, *truth.boxes.values()):
            assert 0.0 < air.humidity_pct < 100.0


def test_air_has_no_leaps(season: Scenario, truths_of: TruthsOf) -> None:
    for earlier, later in pairwise(truths_of(season)):
        assert abs(later.shed.temperature_c - earlier.shed.temperature_c) < 0.1
        assert abs(later.outdoors.temperature_c - earlier.outdoors.temperature_c) < 0.1
        assert abs(later.shed.humidity_pct - earlier.shed.humidity_pct) < 1.0


def test_truths_are_a_minute_apart_from_the_start(season: Scenario, truths_of: TruthsOf) -> None:
    found = truths_of(season)
    assert found[0].at == season.start
    assert {b.at - a.at for a, b in pairwise(found)} == {timedelta(minutes=1)}


def test_box_is_warmer_and_damper_once_a_hen_sits(season: Scenario, truths_of: TruthsOf) -> None:
    since = sitting_since(season, "box-2")
    assert since is not None
    before = [t for t in truths_of(season) if t.at < since]
    sat = [t for t in truths_of(season) if t.at > since + timedelta(hours=3)]
    assert all(t.boxes["box-2"] == t.shed for t in before)
    warmer = fmean(t.boxes["box-2"].temperature_c - t.shed.temperature_c for t in sat)
    damper = fmean(t.boxes["box-2"].humidity_pct - t.shed.humidity_pct for t in sat)
    assert warmer > 4.0
    assert damper > 2.0


def test_summer_is_warmer_than_winter_outdoors(truths_of: TruthsOf) -> None:
    means = [
        fmean(
            truth.outdoors.temperature_c
            for truth in truths_of(scenario_named("quiet", datetime.fromisoformat(day)))
        )
        for day in ("2026-01-31T12:00Z", "2026-07-31T12:00Z")
    ]
    assert means[1] - means[0] > 10.0
