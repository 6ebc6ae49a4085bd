"""The scenarios by name."""

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta

from devices.errors import ClutchweatherError
from simulated_feeds.configuration import NIGHT_LX
from simulated_feeds.scenario import PAST, Scenario, box_sensor
from simulated_feeds.shed import truths

# So long before the shed is too cold does the scenario "cold" begin.
_BEFORE_THE_COLD = timedelta(minutes=12)


class UnknownScenarioError(ClutchweatherError, LookupError):
    """There is no scenario of that name."""

    def __init__(self, name: str) -> None:
        super().__init__(f"no scenario {name!r}; there are {', '.join(NAMES)}")
        self.name = name


NAMES = ("season", "quiet", "cold", "silent")


def scenario_named(name: str, origin: datetime, seed: int = 1) -> Scenario:
    """The scenario of a name, with its present at ``origin`` [aware], to the minute before.

    - season: three weeks with one cold and one damp night; a comfortable present.
    - quiet: no such nights.
    - cold: as season, but the present is the last evening up to ``origin`` on which, minutes
      later, the shed falls below its limit in the dark.
    - silent: as season, but a box's sensor has just stopped.

    Raises:
        UnknownScenarioError: no such name.
    """
    if name not in NAMES:
        raise UnknownScenarioError(name)
    minute = origin.astimezone(UTC).replace(second=0, microsecond=0)
    season = Scenario(name=name, seed=seed, origin=minute)
    if name == "quiet":
        return replace(season, cold_nights_ago=None, damp_nights_ago=None)
    if name == "cold":
        return _before_the_cold(replace(season, cold_tonight=True))
    if name == "silent":
        return replace(season, silent_device=box_sensor("box-4"))
    return season


def _before_the_cold(scenario: Scenario) -> Scenario:
    """The same scenario, its present moved back to shortly before the cold."""
    for nights_back in range(3):
        evening = scenario.evening - timedelta(days=nights_back)
        moved = replace(scenario, origin=scenario.local(evening, time(17)))
        origin = _first_too_cold(moved) - _BEFORE_THE_COLD
        if origin <= scenario.origin:
            return replace(moved, origin=origin)
    raise AssertionError("the cold front of the scenario brings no cold")


def _first_too_cold(scenario: Scenario) -> datetime:
    """The first dark minute of the coming night below the limit."""
    for truth in truths(scenario):
        if truth.at < scenario.origin or truth.light_lx >= NIGHT_LX:
            continue
        if truth.shed.temperature_c < scenario.cold_limit_c:
            return truth.at
        if truth.at > scenario.origin + PAST:
            break
    raise AssertionError("the cold front of the scenario brings no cold")
