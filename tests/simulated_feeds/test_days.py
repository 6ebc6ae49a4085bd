"""The days of a shed, one after the other."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from simulated_feeds.day import MINUTE, AirDay
from simulated_feeds.days import Shed, days
from simulated_feeds.happening import Happening, What
from simulated_feeds.scenario_files.reading import scenario_of
from simulated_feeds.scenario_files.scenario import Scenario

NOW = datetime(2026, 11, 25, 14, 3, tzinfo=UTC)
QUIET = replace(scenario_of("cold-night", NOW), happenings=())
DAYS = timedelta(days=3)


def first_air(scenario: Scenario) -> AirDay:
    return next(days(scenario)).air


@pytest.mark.parametrize("what", [What.COLD_NIGHT, What.HEATER_FAILS, What.LAMPS_ON])
def test_what_happens_on_the_first_day_does_not_reach_back_before_it(what: What) -> None:
    begins = 8 * 60
    since = QUIET.start + begins * MINUTE
    happening = Happening(what=what, since=since, until=since + timedelta(hours=14))
    usual, struck = (first_air(replace(QUIET, happenings=told)) for told in ((), (happening,)))
    same = usual.temperature_c == struck.temperature_c
    # The curve through the hours of the weather bends from an hour before on.
    assert same[: begins - 60].all()
    assert not same[begins:].all()


def test_a_shed_has_stood_for_days_when_its_first_day_begins() -> None:
    # Without a heater: when it clicks hangs by a hair.
    earlier = replace(QUIET, building=replace(QUIET.building, heater_w=0.0))
    later = replace(earlier, start=QUIET.start + DAYS, origin=QUIET.origin + DAYS)
    shed = Shed(earlier)
    lived = next(day for day in shed.days() if day.air.at == later.start).air
    np.testing.assert_allclose(first_air(later).temperature_c, lived.temperature_c, atol=0.05)
