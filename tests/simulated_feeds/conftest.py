"""Presents in all four seasons, and what is true around them."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from itertools import takewhile

import pytest

from simulated_feeds.scenario import Scenario
from simulated_feeds.scenarios import scenario_named
from simulated_feeds.shed import Truth, truths

PRESENTS = [
    datetime(2026, 1, 15, 6, 40, tzinfo=UTC),
    datetime(2026, 4, 2, 23, 10, tzinfo=UTC),
    datetime(2026, 7, 21, 13, 5, tzinfo=UTC),
    datetime(2026, 11, 25, 18, 0, tzinfo=UTC),
]
AFTERWARDS = timedelta(hours=6)


@pytest.fixture(params=PRESENTS, ids=lambda at: f"{at:%B}")
def present(request: pytest.FixtureRequest) -> datetime:
    at: datetime = request.param
    return at


@pytest.fixture(scope="session")
def truths_of() -> Callable[[Scenario], tuple[Truth, ...]]:
    """All truths of a scenario up to some hours after its present, reckoned once."""

    @lru_cache(maxsize=16)
    def reckon(scenario: Scenario) -> tuple[Truth, ...]:
        until = scenario.origin + AFTERWARDS
        return tuple(takewhile(lambda truth: truth.at < until, truths(scenario)))

    return reckon


@pytest.fixture
def season(present: datetime) -> Scenario:
    return scenario_named("season", present)
