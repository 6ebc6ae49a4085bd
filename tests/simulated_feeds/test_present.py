"""The scenarios that end at the present: what they promise, on whatever day that is."""

from collections.abc import Callable
from datetime import UTC, datetime, time, timedelta
from functools import lru_cache
from itertools import takewhile
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from simulated_feeds.day import DAY, MINUTE, ShedDay
from simulated_feeds.days import Shed
from simulated_feeds.moist_air import humidity_pct
from simulated_feeds.present import scenario_at
from simulated_feeds.scenario_files.reading import ScenarioFaultsError
from simulated_feeds.scenario_files.scenario import Scenario

PRESENTS = [
    datetime(2026, 1, 15, 6, 40, tzinfo=UTC),
    datetime(2026, 4, 2, 23, 10, tzinfo=UTC),
    datetime(2026, 7, 21, 13, 5, tzinfo=UTC),
    datetime(2026, 11, 25, 18, 0, tzinfo=UTC),
]
AFTERWARDS = timedelta(hours=6)
DARK_LX = 20.0
COLD_NIGHTS_AGO, DAMP_NIGHTS_AGO = 6, 3


class Lived:
    """All minutes of a scenario up to some hours after its present."""

    def __init__(self, scenario: Scenario) -> None:
        self.scenario = scenario
        until = scenario.origin + AFTERWARDS
        self.days: list[ShedDay] = list(
            takewhile(lambda day: day.air.at < until, Shed(scenario).days())
        )
        air = [day.air for day in self.days]
        self.shed_c = np.concatenate([day.temperature_c for day in air])
        vapour_pa = np.concatenate([day.vapour_pa for day in air])
        self.humidity_pct = humidity_pct(self.shed_c, vapour_pa)
        self.light_lx = np.concatenate([day.light_lx for day in air])
        self.outdoors_c = np.concatenate([day.outdoors.temperature_c for day in air])

    def index(self, at: datetime) -> int:
        return (at - self.scenario.start) // MINUTE

    def noon_to_noon(self, nights_ago: int) -> NDArray[np.bool_]:
        """Which minutes lie between the noons around an evening."""
        site, origin = self.scenario.site, self.scenario.origin
        evening = site.date_of(origin - timedelta(hours=12)) - nights_ago * DAY
        first = self.index(site.local(evening, time(12)))
        found = np.zeros(len(self.shed_c), dtype=bool)
        found[max(0, first) : first + 1440] = True
        return found

    def now(self) -> slice:
        at = self.index(self.scenario.origin)
        return slice(at - 360, at + 360)


@pytest.fixture(scope="session")
def lived() -> Callable[[str, datetime], Lived]:
    """A scenario lived through once."""

    @lru_cache(maxsize=16)
    def live(name: str, present: datetime) -> Lived:
        return Lived(scenario_at(name, present))

    return live


@pytest.fixture(params=PRESENTS, ids=lambda at: f"{at:%B}")
def present(request: pytest.FixtureRequest) -> datetime:
    at: datetime = request.param
    return at


@pytest.fixture
def season(present: datetime, lived: Callable[[str, datetime], Lived]) -> Lived:
    return lived("season", present)


@pytest.fixture
def quiet(present: datetime, lived: Callable[[str, datetime], Lived]) -> Lived:
    return lived("quiet", present)


def test_the_past_is_three_weeks_long(season: Lived) -> None:
    assert season.scenario.origin - season.scenario.start == timedelta(days=21)


def test_cold_night_is_below_its_limit_for_hours(season: Lived) -> None:
    dark = season.noon_to_noon(COLD_NIGHTS_AGO) & (season.light_lx < DARK_LX)
    assert np.count_nonzero(season.shed_c[dark] < 4.8) > 120
    assert season.shed_c[dark].min() < 4.0


def test_damp_night_is_above_its_limit_for_hours(season: Lived) -> None:
    night = season.noon_to_noon(DAMP_NIGHTS_AGO)
    above = season.humidity_pct[night] > season.scenario.limits.damp_pct + 2
    assert np.count_nonzero(above) > 120


def test_no_other_night_is_too_cold(season: Lived) -> None:
    too_cold = season.shed_c < 6.0
    assert too_cold.any()
    assert not (too_cold & ~season.noon_to_noon(COLD_NIGHTS_AGO)).any()


def test_no_other_time_is_too_damp(season: Lived) -> None:
    too_damp = season.humidity_pct > 78.0
    assert too_damp.any()
    assert not (too_damp & ~season.noon_to_noon(DAMP_NIGHTS_AGO)).any()


@pytest.mark.parametrize("name", ["season", "quiet"])
def test_air_of_the_present_is_comfortable(
    name: str, present: datetime, lived: Callable[[str, datetime], Lived]
) -> None:
    found = lived(name, present)
    now_c, now_pct = found.shed_c[found.now()], found.humidity_pct[found.now()]
    assert now_c.min() > 10.0
    assert now_c.max() < 22.0
    assert now_pct.min() > 43.0
    assert now_pct.max() < 76.0


def test_quiet_shed_stays_within_all_limits(quiet: Lived) -> None:
    assert quiet.shed_c.min() > 7.0
    assert quiet.shed_c.max() < 27.0
    assert quiet.humidity_pct.min() > 33.0
    assert quiet.humidity_pct.max() < 78.0


def test_no_water_stands_on_the_panes_of_a_quiet_shed(quiet: Lived) -> None:
    assert max(float(day.air.condensate_g.max()) for day in quiet.days) == 0.0


@pytest.mark.parametrize("seed", [2, 3])
def test_promises_hold_for_other_seeds(seed: int) -> None:
    found = Lived(scenario_at("season", PRESENTS[3], seed=seed))
    assert found.shed_c[found.noon_to_noon(COLD_NIGHTS_AGO)].min() < 4.5
    damp = found.humidity_pct[found.noon_to_noon(DAMP_NIGHTS_AGO)]
    assert damp.max() > found.scenario.limits.damp_pct + 2.5


def test_air_has_no_leaps(season: Lived) -> None:
    assert np.abs(np.diff(season.shed_c)).max() < 0.5
    assert np.abs(np.diff(season.outdoors_c)).max() < 0.1


def test_cold_begins_minutes_before_the_shed_is_too_cold_in_the_dark(
    present: datetime, lived: Callable[[str, datetime], Lived]
) -> None:
    found = lived("cold", present)
    origin = found.scenario.origin
    assert present - timedelta(days=3) < origin <= present
    at = found.index(origin)
    limit = found.scenario.limits.cold_c
    cold = (found.shed_c[at:] < limit) & (found.light_lx[at:] < DARK_LX)
    first = int(np.argmax(cold))
    assert 11 <= first <= 13
    # and it stays so for longer than the limit's on-delay
    assert cold[first : first + 60].all()


def test_a_present_before_a_cold_that_does_not_come_is_refused(tmp_path: Path) -> None:
    text = 'about = "No cold."\ndays = 2\npresent = "before the cold"\n'
    file = tmp_path / "mild.toml"
    file.write_text(text + "[limits]\ncold_c = -9.0\n")
    with pytest.raises(ScenarioFaultsError, match="none comes"):
        scenario_at(str(file), PRESENTS[0])


def test_equal_scenarios_have_equal_days() -> None:
    scenario = scenario_at("quiet-week", PRESENTS[0], days=2)
    one, two = (
        list(takewhile(lambda day: day.air.at < scenario.origin, Shed(scenario).days()))
        for _ in range(2)
    )
    for first, second in zip(one, two, strict=True):
        assert np.array_equal(first.air.temperature_c, second.air.temperature_c)
        assert first.nests[1].stays == second.nests[1].stays
