"""One minute of vapour: exponential, nothing lost, and wet where the dew point says so."""

from math import exp

import numpy as np
import psychrolib  # type: ignore[import-untyped]
import pytest
from hypothesis import given
from hypothesis import strategies as st

from simulated_feeds.building.climate import saturated_pa
from simulated_feeds.building.moisture import (
    STEP_H,
    SURFACE_G_PER_H_PA_M2,
    VAPOUR_G_PER_M3_PA,
    Ways,
    vapour_step,
)
from simulated_feeds.moist_air import saturation_pa

STORE = 30.0 * VAPOUR_G_PER_M3_PA
SHUT = (0.0, 0.0)


def ways(
    vent: tuple[float, float] = SHUT,
    wood: tuple[float, float] = SHUT,
    water: tuple[float, float] = SHUT,
    pane: tuple[float, float] = SHUT,
) -> Ways:
    return Ways(vent=vent, wood=wood, water=water, pane=pane)


def test_cubic_metre_holds_what_psychrolib_says() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    ratio = psychrolib.GetHumRatioFromVapPres(1_000.0, 101_325.0)
    dry = psychrolib.GetMoistAirDensity(15.0, ratio, 101_325.0) / (1.0 + ratio)
    held_g = 1_000.0 * VAPOUR_G_PER_M3_PA
    assert held_g == pytest.approx(1_000.0 * ratio * dry, rel=0.002)


def test_vapour_falls_exponentially_by_changes_of_air() -> None:
    """Two changes an hour: after t hours exp(-2 t) of the difference is left."""
    vapour = 1_500.0
    for _ in range(90):
        vapour = vapour_step(vapour, STORE, 0.0, ways(vent=(2.0 * STORE, 600.0)), 0.0).vapour_pa
    assert vapour == pytest.approx(600.0 + 900.0 * exp(-3.0), rel=1e-9)


def test_birds_raise_vapour_until_changes_of_air_take_it_away() -> None:
    vapour = 600.0
    for _ in range(60 * 12):
        vapour = vapour_step(vapour, STORE, 12.0, ways(vent=(STORE, 600.0)), 0.0).vapour_pa
    assert vapour == pytest.approx(600.0 + 12.0 / STORE, rel=1e-4)


pressures = st.floats(10.0, 6_000.0)
conducting = st.tuples(st.floats(0.0, 50.0), pressures)
all_ways = st.builds(
    Ways,
    vent=st.tuples(st.floats(0.01, 50.0), pressures),
    wood=conducting,
    water=conducting,
    pane=conducting,
)


@given(
    vapour=pressures, given_g=st.floats(0.0, 200.0), through=all_ways, film=st.floats(0.0, 100.0)
)
def test_minute_loses_no_water(vapour: float, given_g: float, through: Ways, film: float) -> None:
    flows = vapour_step(vapour, STORE, given_g, through, film)
    came = flows.vented_g + flows.wood_g + flows.water_g + flows.pane_g + given_g * STEP_H
    assert came == pytest.approx(STORE * (flows.vapour_pa - vapour), rel=1e-7, abs=1e-7)
    if through.pane[1] > vapour:
        assert 0.0 <= flows.pane_g <= film


@pytest.mark.parametrize(("surface_c", "wet"), [(12.0, False), (11.0, True)])
def test_pane_is_wet_when_it_is_colder_than_the_dew_point(surface_c: float, wet: bool) -> None:
    """Air of 18 °C and 65 %: PsychroLib 2.5.0 gives a dew point of 11.330 °C."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert psychrolib.GetTDewPointFromRelHum(18.0, 0.65) == pytest.approx(11.33, abs=0.01)
    vapour = 0.65 * saturated_pa(18.0)
    pane = (SURFACE_G_PER_H_PA_M2, saturated_pa(surface_c))
    flows = vapour_step(vapour, STORE, 0.0, ways(vent=(STORE, vapour), pane=pane), 0.0)
    assert (flows.pane_g < 0.0) is wet


def test_dry_pane_gives_nothing_and_a_wet_one_no_more_than_its_film() -> None:
    pane = (100.0, 2_000.0)
    for film in (0.0, 0.5):
        flows = vapour_step(500.0, STORE, 0.0, ways(vent=(STORE, 500.0), pane=pane), film)
        assert flows.pane_g == film


def test_square_metre_of_cold_pane_gathers_what_lewis_says() -> None:
    """Lewis's relation (from memory): heat and vapour are carried alike, h / (density x capacity).

    3 W/(m²K) with 1.2 kg/m³ and 1,005 J/(kg K) are 8.96 m of air an hour.
    """
    metres_an_hour = 3.0 / (1.2 * 1005.0) * 3600.0
    found = SURFACE_G_PER_H_PA_M2 / VAPOUR_G_PER_M3_PA
    assert found == pytest.approx(metres_an_hour)


@pytest.mark.parametrize("temperature_c", [-10.0, 0.0, 12.5, 30.0])
def test_saturation_is_that_of_moist_air(temperature_c: float) -> None:
    expected = saturation_pa(np.array([temperature_c]))[0]
    assert saturated_pa(temperature_c) == pytest.approx(expected, rel=1e-9)
