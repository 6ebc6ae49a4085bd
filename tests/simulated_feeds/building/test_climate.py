"""All of one minute together, beside an integrator that knows nothing of minutes."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp  # type: ignore[import-untyped]

from simulated_feeds.building.birds import heat_w_per_g
from simulated_feeds.building.climate import (
    AIR_J_PER_M3_K,
    EVAPORATION_J_PER_G,
    Climate,
    Found,
    Minute,
    ShedAir,
    saturated_pa,
)
from simulated_feeds.building.moisture import SURFACE_G_PER_H_PA_M2, VAPOUR_G_PER_M3_PA
from simulated_feeds.building.parameters import BuildingParameters

SHED = BuildingParameters(heater_w=0.0, film_g_per_m2=1_000.0)
NIGHT = Minute(
    outdoors_c=-3.0,
    outdoors_pa=350.0,
    surface_faces_c=-6.0,
    cracks_per_h=0.7,
    vent_works=True,
    heater_works=True,
    air_w=40.0,
    mass_w=-25.0,
    bird_g=26 * 31.0,
    least_w_per_g=0.011,
    vapour_g_per_h=3.9,
)
BEGINS = Climate(air_c=15.0, mass_c=13.0, vapour_pa=1_200.0, wood=0.7, film_g=0.0)


def rates(_: float, y: "np.ndarray[tuple[int], np.dtype[np.float64]]") -> list[float]:
    """The same shed written down once more, as rates: air, mass, vapour, wood, film."""
    air, mass, vapour, wood, film = y
    p, n = SHED, NIGHT
    hold = p.volume_m3 * VAPOUR_G_PER_M3_PA
    share = 5.7 * 0.13
    pane_pa = saturated_pa(air - share * (air - n.surface_faces_c))
    opened = min(1.0, max(0.0, (air - p.vent_opens_c) / (p.vent_open_c - p.vent_opens_c)))
    changes = n.cracks_per_h + opened * p.vent_per_h
    # Grams an hour into the air.
    vent = hold * changes * (n.outdoors_pa - vapour)
    from_wood = p.wood_g_per_h_pa * (wood * saturated_pa(mass) - vapour)
    water = p.water_g_per_h_pa * (saturated_pa(air) - vapour)
    pane = SURFACE_G_PER_H_PA_M2 * (pane_pa - vapour) if pane_pa < vapour or film > 0.0 else 0.0
    latent = EVAPORATION_J_PER_G / 3600.0
    leak = 5.7 * p.window_m2 + changes * p.volume_m3 * AIR_J_PER_M3_K / 3600.0
    to_air = n.air_w + n.bird_g * heat_w_per_g(air, n.least_w_per_g)
    to_air -= latent * (water + n.vapour_g_per_h + (1.0 - share) * pane)
    return [
        (150.0 * (mass - air) + leak * (n.outdoors_c - air) + to_air) / p.air_j_per_k,
        (150.0 * (air - mass) + 38.0 * (n.outdoors_c - mass) + n.mass_w - latent * from_wood)
        / p.mass_j_per_k,
        (vent + from_wood + water + pane + n.vapour_g_per_h) / hold / 3600.0,
        -from_wood / p.wood_g / 3600.0,
        -pane / 3600.0,
    ]


def lived(shed: ShedAir, climate: Climate, minutes: int, acts: Minute = NIGHT) -> Climate:
    found = Found()
    for _ in range(minutes):
        climate = shed.minute(climate, acts, found)
    return climate


@pytest.mark.parametrize("hours", [1, 4, 10])
def test_cold_night_agrees_with_an_integrator(hours: int) -> None:
    """Steps of a minute cost a few hundredths of a kelvin and half a per cent of the vapour."""
    found = lived(ShedAir(SHED), BEGINS, 60 * hours)
    run = solve_ivp(
        rates, (0.0, 3600.0 * hours), list(BEGINS[:5]), method="LSODA", rtol=1e-7, atol=1e-7
    )
    air, mass, vapour, wood, film = run.y[:, -1]
    assert found.air_c == pytest.approx(air, abs=0.03)
    assert found.mass_c == pytest.approx(mass, abs=0.01)
    assert found.vapour_pa == pytest.approx(vapour, rel=0.005)
    assert found.wood == pytest.approx(wood, abs=0.001)
    assert found.film_g == pytest.approx(film, rel=0.02, abs=0.05)
    assert film > 1.0


def test_vapour_beyond_saturation_settles_as_water_and_gives_its_heat() -> None:
    shed = ShedAir(replace(SHED, wood_g=0.0))
    foggy = replace_climate(BEGINS, vapour_pa=1.3 * saturated_pa(15.0))
    before, found = shed.stored_g(foggy), Found()
    after = shed.minute(foggy, NIGHT, found)
    assert after.vapour_pa <= saturated_pa(after.air_c)
    assert after.film_g > 10.0
    dry = shed.minute(replace_climate(BEGINS, vapour_pa=900.0), NIGHT, Found())
    assert after.air_c > dry.air_c + 0.1
    moved = found.balances[0].vented_g + found.balances[0].added_g - found.balances[0].drained_g
    assert shed.stored_g(after) - before == pytest.approx(moved, abs=1e-9)


def test_thermostat_waits_for_its_lower_and_its_upper_temperature() -> None:
    shed, found = ShedAir(BuildingParameters()), Found()
    states = [(9.9, False), (10.5, False), (10.5, True), (11.0, True)]
    for air, heating in states:
        shed.minute(replace_climate(BEGINS, air_c=air, heating=heating), NIGHT, found)
    assert found.heater_w == [1_000.0, 0.0, 1_000.0, 0.0]


def test_heater_that_does_not_work_gives_nothing() -> None:
    found = Found()
    cold = replace_climate(BEGINS, air_c=2.0, heating=True)
    after = ShedAir(BuildingParameters()).minute(cold, NIGHT._replace(heater_works=False), found)
    assert found.heater_w == [0.0]
    assert not after.heating


def test_vent_opens_with_warmth_unless_it_is_stuck() -> None:
    hot = replace_climate(BEGINS, air_c=25.0)
    working, stuck = (
        ShedAir(SHED).minute(hot, NIGHT._replace(vent_works=works), Found())
        for works in (True, False)
    )
    assert working.air_c < stuck.air_c - 0.3
    assert working.vapour_pa < stuck.vapour_pa


def test_walls_are_the_coldest_surface_when_mild_air_comes_after_frost() -> None:
    found = Found()
    thaw = replace_climate(BEGINS, air_c=10.0, mass_c=5.0, vapour_pa=1_100.0)
    mild = NIGHT._replace(outdoors_c=11.0, surface_faces_c=11.0)
    after = ShedAir(SHED).minute(thaw, mild, found)
    assert found.surface_c == [5.0]
    assert after.film_g > 0.0


def replace_climate(climate: Climate, **changes: float | bool) -> Climate:
    return climate._replace(**changes)  # type: ignore[arg-type]
