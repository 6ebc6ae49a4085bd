"""What a day was like, and what is gathered of days."""

import math
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import psychrolib  # type: ignore[import-untyped]
import pytest

from simulated_feeds.birds.conditions import Gathered, Lived, lived, shared_day
from simulated_feeds.day import MINUTES, AirDay, BoxAir
from tests.simulated_feeds.birds.invented_air import steady_air

DAY = datetime(2026, 2, 1, tzinfo=UTC)


def told(air: AirDay, box: str = "box-1") -> Lived:
    return lived(shared_day(air), box)


def test_low_of_a_night_is_that_of_the_dark() -> None:
    warmth = np.full(MINUTES, 15.0)
    warmth[100] = 9.5  # before half past five UTC it is dark
    warmth[720] = 2.0  # at noon
    assert told(replace(steady_air(DAY), temperature_c=warmth)).night_low_c == 9.5


def test_a_day_without_dark_has_no_night() -> None:
    lit = replace(steady_air(DAY), light_lx=np.full(MINUTES, 300.0))
    assert math.isnan(told(lit).night_low_c)
    assert told(lit).light_h == 24


def test_a_box_with_air_of_its_own_is_judged_by_it() -> None:
    own = BoxAir(temperature_c=np.full(MINUTES, 21.0), vapour_pa=np.full(MINUTES, 1500.0))
    air = replace(steady_air(DAY), boxes={"box-2": own})
    assert told(air, "box-2").night_low_c == 21.0
    assert told(air, "box-2").cold_h == 0
    assert told(air, "box-1").night_low_c == 15.0
    assert told(air, "box-1").cold_h == 24


def test_light_hours_are_those_of_the_lamps() -> None:
    # lit from 06:30 to 20:30
    assert told(steady_air(DAY)).light_h == 14


@pytest.mark.parametrize(("above_k", "damp_h"), [(1.05, 0.0), (0.95, 24.0)])
def test_damp_is_a_surface_within_a_kelvin_of_the_dew_point(above_k: float, damp_h: float) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    dew_point = psychrolib.GetTDewPointFromVapPres(15.0, 1100.0)
    air = steady_air(DAY, vapour_pa=1100.0)
    air = replace(air, surface_c=np.full(MINUTES, dew_point + above_k))
    assert told(air).damp_h == damp_h


def test_gathered_is_a_mean_over_its_days_and_unknown_without_one() -> None:
    gathered = Gathered()
    assert math.isnan(gathered.night_low_c)
    assert math.isnan(gathered.damp_h_a_day)
    for low, damp in ((10.0, 2.0), (14.0, 4.0), (math.nan, 0.0)):
        gathered.add(Lived(night_low_c=low, cold_h=1.0, damp_h=damp, light_h=14.0, day_c=15.0))
    assert gathered.night_low_c == 12.0  # the day without a night does not count as one
    assert gathered.damp_h_a_day == 2.0
    assert gathered.cold_h_a_day == 1.0
    assert gathered.light_h_a_day == 14.0
