"""Vapour of the shed's air: changes of air, birds, open water, wood, and a cold pane. Pure.

Vapour pressures in Pa, water in g. Wood holds water in proportion to the humidity that it is
in balance with. A pane colder than the dew point takes vapour; its water evaporates again, and
what is more than a film runs off and out.
"""

from math import exp
from typing import NamedTuple

STEP_H = 1.0 / 60.0
# A cubic metre at 15 °C holds so many grams for each Pa: the gas law with 461.5 J/(kg K).
VAPOUR_G_PER_M3_PA = 1000.0 / (461.5 * 288.15)
# Vapour that still air carries to a surface: Lewis's relation (from memory) with 3 W/(m²K) of
# heat carried by air and 1.2 kg/m³, 1,005 J/(kg K), in g/(h Pa m²).
SURFACE_G_PER_H_PA_M2 = 3.0 / (1.2 * 1005.0) * VAPOUR_G_PER_M3_PA * 3600.0


class Flows(NamedTuple):
    """One minute: vapour at the end [Pa], and what came into the air [g], less if negative."""

    vapour_pa: float
    vented_g: float
    wood_g: float
    water_g: float
    pane_g: float


class Ways(NamedTuple):
    """Where vapour goes and comes from: conductance [g/(h Pa)] and vapour behind it [Pa]."""

    vent: tuple[float, float]
    wood: tuple[float, float]
    water: tuple[float, float]
    pane: tuple[float, float]


def vapour_step(
    vapour_pa: float, store_g_per_pa: float, given_g_per_h: float, ways: Ways, film_g: float
) -> Flows:
    """One minute on, exact while nothing else changes.

    Args:
        vapour_pa: at its beginning.
        store_g_per_pa: how much the air holds.
        given_g_per_h: what birds give.
        ways: of which at least one must conduct.
        film_g: water on the pane, which gives no more than that when it dries.
    """
    (vent_g, vent_pa), (wood_g, wood_pa), (water_g, water_pa), (pane_g, pane_pa) = ways
    dries = 0.0
    if pane_pa > vapour_pa:
        dries = min(film_g, pane_g * (pane_pa - vapour_pa) * STEP_H)
        pane_g = 0.0
    through = vent_g + wood_g + water_g + pane_g
    fed = given_g_per_h + dries / STEP_H
    fed += vent_g * vent_pa + wood_g * wood_pa + water_g * water_pa + pane_g * pane_pa
    still = fed / through
    ends = still + (vapour_pa - still) * exp(-through * STEP_H / store_g_per_pa)
    mean = still + (vapour_pa - ends) * store_g_per_pa / (through * STEP_H)
    return Flows(
        ends,
        vent_g * (vent_pa - mean) * STEP_H,
        wood_g * (wood_pa - mean) * STEP_H,
        water_g * (water_pa - mean) * STEP_H,
        dries + pane_g * (pane_pa - mean) * STEP_H,
    )
