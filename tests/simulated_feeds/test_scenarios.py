"""Scenarios by name, and where each puts its present."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone

import pytest

from simulated_feeds.scenario import Scenario
from simulated_feeds.scenarios import NAMES, UnknownScenarioError, scenario_named
from simulated_feeds.shed import Truth

NOW = datetime(2026, 11, 25, 14, 3, 27, 500, tzinfo=UTC)


def test_unknown_name_is_refused_with_the_known_ones() -> None:
    with pytest.raises(UnknownScenarioError, match=r"'storm'.*season, quiet, cold, silent"):
        scenario_named("storm", NOW)


@pytest.mark.parametrize("name", [name for name in NAMES if name != "cold"])
def test_present_is_the_minute_that_was_asked_for(name: str) -> None:
    assert scenario_named(name, NOW).origin == datetime(2026, 11, 25, 14, 3, tzinfo=UTC)


def test_present_in_another_offset_is_turned_into_utc() -> None:
    there = NOW.astimezone(timezone(timedelta(hours=9)))
    assert scenario_named("season", there) == scenario_named("season", NOW)


def test_scenario_refuses_a_present_that_is_no_whole_minute() -> None:
    with pytest.raises(ValueError, match="whole minute"):
        Scenario(name="season", seed=1, origin=NOW)


def test_cold_begins_minutes_before_the_shed_is_too_cold_in_the_dark(
    present: datetime, truths_of: Callable[[Scenario], tuple[Truth, ...]]
) -> None:
    cold = scenario_named("cold", present)
    assert present - timedelta(days=3) < cold.origin <= present
    after = [truth for truth in truths_of(cold) if truth.at >= cold.origin]
    at = next(t.at for t in after if t.shed.temperature_c < cold.cold_limit_c and t.light_lx < 20)
    assert timedelta(minutes=11) <= at - cold.origin <= timedelta(minutes=13)
    # and it stays so for longer than the limit's on-delay
    hour = [t for t in after if at <= t.at < at + timedelta(hours=1)]
    assert all(truth.shed.temperature_c < cold.cold_limit_c for truth in hour)


def test_night_is_named_after_its_evening() -> None:
    evenings = [
        scenario_named("season", datetime(2026, 11, 25, hour, tzinfo=UTC)).evening.day
        for hour in (2, 10, 12, 22)
    ]
    assert evenings == [24, 24, 25, 25]
