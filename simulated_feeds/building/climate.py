"""Heat and moisture of the shed through one day, minute after minute. Pure.

What goes on within a minute: the thermostat and the vent look at the air as it is at its
beginning; vapour moves; what it takes or gives in heat, and all other heat, moves the two
stores; fog, if any, falls onto the cold pane.
"""

from dataclasses import dataclass, field
from math import exp
from typing import NamedTuple

from simulated_feeds.building.birds import heat_w_per_g
from simulated_feeds.building.heat import STEP_S, TwoStores
from simulated_feeds.building.moisture import (
    STEP_H,
    SURFACE_G_PER_H_PA_M2,
    VAPOUR_G_PER_M3_PA,
    Flows,
    Ways,
    vapour_step,
)
from simulated_feeds.building.parameters import BuildingParameters

# Heat to evaporate water, and heat of a cubic metre of air (at 15 °C; both from memory).
EVAPORATION_J_PER_G = 2_450.0
AIR_J_PER_M3_K = 1_230.0
_LATENT_W = EVAPORATION_J_PER_G / STEP_S


class Climate(NamedTuple):
    """Air and mass [°C], vapour [Pa], humidity of the wood (0 to 1), water on the pane [g]."""

    air_c: float
    mass_c: float
    vapour_pa: float
    wood: float
    film_g: float = 0.0
    heating: bool = False


class Minute(NamedTuple):
    """What acts on the shed for a minute: °C, Pa, changes of air, W, grams of bird, W/g, g/h."""

    outdoors_c: float
    outdoors_pa: float
    surface_faces_c: float
    cracks_per_h: float
    vent_works: bool
    heater_works: bool
    air_w: float
    mass_w: float
    bird_g: float
    least_w_per_g: float
    vapour_g_per_h: float


class Balance(NamedTuple):
    """Of one minute: heat [J] given, lost to outdoors and bound by evaporation; water [g] that
    came by changes of air (less than 0: went), from birds and open water, and that ran off.
    """

    given_j: float
    lost_j: float
    bound_j: float
    vented_g: float
    added_g: float
    drained_g: float


@dataclass(slots=True)
class Found:
    """The day's minutes, in lists: as they began, and what each of them moved."""

    air_c: list[float] = field(default_factory=list)
    vapour_pa: list[float] = field(default_factory=list)
    surface_c: list[float] = field(default_factory=list)
    film_g: list[float] = field(default_factory=list)
    heater_w: list[float] = field(default_factory=list)
    balances: list[Balance] = field(default_factory=list)


def saturated_pa(temperature_c: float) -> float:
    """Vapour pressure of saturated air [Pa], as in ``moist_air``."""
    return 610.78 * exp(17.2693882 * temperature_c / (237.3 + temperature_c))


class ShedAir:
    """The balances of one shed; the climate is handed through, not kept."""

    __slots__ = (
        "_change_w",
        "_most_film_g",
        "_p",
        "_pane_g",
        "_share",
        "_store_g",
        "_stores",
        "_vent_span",
        "_window_w",
        "_wood_way",
    )

    def __init__(self, parameters: BuildingParameters) -> None:
        self._p = p = parameters
        self._stores = TwoStores(
            p.air_j_per_k, p.mass_j_per_k, p.air_to_mass_w_per_k, p.mass_to_outdoors_w_per_k
        )
        self._store_g = p.volume_m3 * VAPOUR_G_PER_M3_PA
        self._pane_g = p.surface_m2 * SURFACE_G_PER_H_PA_M2
        self._share = p.surface_share
        self._wood_way = p.wood_g_per_h_pa if p.wood_g else 0.0
        self._window_w = p.window_m2 * p.window_w_m2_k
        self._change_w = p.volume_m3 * AIR_J_PER_M3_K / 3600.0
        self._most_film_g = p.film_g_per_m2 * p.surface_m2
        self._vent_span = p.vent_open_c - p.vent_opens_c

    def minute(self, now: Climate, acts: Minute, found: Found) -> Climate:
        """The climate a minute later; how this one began, and what it moved, goes to ``found``."""
        p = self._p
        heating = acts.heater_works and self._thermostat(now)
        heater_w = p.heater_w if heating else 0.0
        # The pane, unless a thaw has left the walls colder.
        surface_c = now.air_c - self._share * (now.air_c - acts.surface_faces_c)
        surface_c = min(surface_c, now.mass_c)
        found.air_c.append(now.air_c)
        found.vapour_pa.append(now.vapour_pa)
        found.surface_c.append(surface_c)
        found.film_g.append(now.film_g)
        found.heater_w.append(heater_w)

        changes = acts.cracks_per_h
        if acts.vent_works and now.air_c > p.vent_opens_c:
            opened = min(1.0, (now.air_c - p.vent_opens_c) / self._vent_span)
            changes += opened * p.vent_per_h
        moved = self._vapour(now, acts, surface_c, changes)
        given_w = acts.air_w + heater_w + acts.bird_g * heat_w_per_g(now.air_c, acts.least_w_per_g)
        air_c, mass_c, lost_w = self._heat(now, acts, changes, given_w, moved)

        # Air can't hold more than saturation: the rest is fog, and settles on the cold pane.
        vapour_pa = min(moved.vapour_pa, saturated_pa(air_c))
        fog_g = (moved.vapour_pa - vapour_pa) * self._store_g
        air_c += EVAPORATION_J_PER_G * fog_g / p.air_j_per_k
        film_g = now.film_g - moved.pane_g + fog_g
        stays_g = min(film_g, self._most_film_g)
        breathed_g = acts.vapour_g_per_h * STEP_H
        evaporated_g = breathed_g + moved.wood_g + moved.water_g + moved.pane_g - fog_g
        found.balances.append(
            Balance(
                (given_w + acts.mass_w) * STEP_S,
                lost_w * STEP_S,
                evaporated_g * EVAPORATION_J_PER_G,
                moved.vented_g,
                breathed_g + moved.water_g,
                film_g - stays_g,
            )
        )
        wood = now.wood - (moved.wood_g / p.wood_g if p.wood_g else 0.0)
        return Climate(air_c, mass_c, vapour_pa, wood, stays_g, heating)

    def stored_j(self, climate: Climate) -> float:
        """Heat above 0 °C in air and mass [J]."""
        return climate.air_c * self._p.air_j_per_k + climate.mass_c * self._p.mass_j_per_k

    def stored_g(self, climate: Climate) -> float:
        """Water in air, in wood and on the pane [g]."""
        return climate.vapour_pa * self._store_g + climate.wood * self._p.wood_g + climate.film_g

    def _thermostat(self, now: Climate) -> bool:
        return now.air_c < (self._p.heater_off_c if now.heating else self._p.heater_on_c)

    def _vapour(self, now: Climate, acts: Minute, surface_c: float, changes: float) -> Flows:
        p = self._p
        ways = Ways(
            vent=(self._store_g * changes, acts.outdoors_pa),
            wood=(self._wood_way, now.wood * saturated_pa(now.mass_c)),
            water=(p.water_g_per_h_pa, saturated_pa(now.air_c)),
            pane=(self._pane_g, saturated_pa(surface_c)),
        )
        return vapour_step(now.vapour_pa, self._store_g, acts.vapour_g_per_h, ways, now.film_g)

    def _heat(
        self, now: Climate, acts: Minute, changes: float, given_w: float, moved: Flows
    ) -> tuple[float, float, float]:
        """Air and mass a minute later [°C], and what went outdoors [W].

        Of the heat of what settles on the pane the pane lets its own share out (so it is
        reckoned even in the few hours in which the water settles on a wall).
        """
        p = self._p
        pane_w = -_LATENT_W * moved.pane_g
        air_w = given_w + pane_w * (1.0 - self._share)
        air_w -= _LATENT_W * (moved.water_g + acts.vapour_g_per_h * STEP_H)
        mass_w = acts.mass_w - _LATENT_W * moved.wood_g
        leak = self._window_w + changes * self._change_w
        air_c, mass_c, mean_air, mean_mass = self._stores.step(
            (now.air_c, now.mass_c), acts.outdoors_c, leak, (air_w, mass_w)
        )
        lost_w = leak * (mean_air - acts.outdoors_c) + pane_w * self._share
        lost_w += p.mass_to_outdoors_w_per_k * (mean_mass - acts.outdoors_c)
        return air_c, mass_c, lost_w
