"""Where a scenario's present lies: now, or shortly before something happens."""

from dataclasses import replace
from datetime import datetime, time, timedelta
from itertools import takewhile

import numpy as np

from simulated_feeds.day import DAY, MINUTE
from simulated_feeds.days import Shed
from simulated_feeds.records.witness import DARK_BELOW_LX
from simulated_feeds.scenario_files.reading import ScenarioFaultsError, scenario_of
from simulated_feeds.scenario_files.scenario import Scenario

# So long before the shed is too cold does the present lie.
_BEFORE_THE_COLD = timedelta(minutes=12)
_EVENING = time(17)
_NIGHTS_BACK = 3
# The building forgets in days how it began.
_SETTLES = 4 * DAY


def scenario_at(
    name: str, now: datetime, *, seed: int | None = None, days: int | None = None
) -> Scenario:
    """The scenario of a name or path, its present where the file puts it.

    One that is to begin "before the cold" has its present on the last evening up to ``now``
    on which, minutes later, the shed falls below its limit in the dark.

    Raises:
        UnknownScenarioError, ScenarioFaultsError: as ``scenario_of``; also where no cold comes.
    """
    scenario = scenario_of(name, now, seed=seed, days=days)
    if not scenario.before_the_cold:
        return scenario
    site = scenario.site
    evening = site.date_of(scenario.origin - timedelta(hours=12))
    for nights_back in range(_NIGHTS_BACK):
        at = site.local(evening - nights_back * DAY, _EVENING)
        moved = scenario_of(name, at, seed=seed, days=days)
        cold = _first_too_cold(moved)
        if cold is None:
            raise ScenarioFaultsError([f"{name}: its present is before the cold, and none comes"])
        if cold - _BEFORE_THE_COLD <= scenario.origin:
            return replace(moved, origin=cold - _BEFORE_THE_COLD)
    raise ScenarioFaultsError([f"{name}: the cold comes later than a day after {_EVENING}"])


def _first_too_cold(scenario: Scenario) -> datetime | None:
    """The first dark minute below the limit within a day of the present."""
    end = scenario.origin + DAY
    settled = replace(scenario, start=max(scenario.start, scenario.origin - _SETTLES))
    for day in takewhile(lambda day: day.air.at < end, Shed(settled).days()):
        air = day.air
        cold = (air.light_lx < DARK_BELOW_LX) & (air.temperature_c < scenario.limits.cold_c)
        for minute in np.flatnonzero(cold).tolist():
            at = air.at + minute * MINUTE
            if at >= scenario.origin:
                return at
    return None
