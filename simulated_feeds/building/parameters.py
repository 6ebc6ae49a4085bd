"""The shed as numbers with units, ranges and origins. Pure.

The preset values are a guess of a small lined wooden shed of 10 m² (no source), unless a
source is named: left to itself it loses what it is warmer than outdoors with a time of about
14 hours, and its air follows its walls and things within a quarter of an hour.
"""

from dataclasses import dataclass

from simulated_feeds.impossible import ImpossibleParameterError, allowed, refuse_impossible

# Heat that passes from air to a wall's inner surface: 0.13 m²K/W in EN ISO 6946 (from memory).
SURFACE_W_M2_K = 1.0 / 0.13
# Of the way from inside to outside, the coldest corner of a wall is so far: one minus the
# least surface factor 0.7 that DIN 4108-2 allows new buildings (from memory).
CORNER_SHARE = 0.3
_CORNER_M2 = 1.0
# Wood that gave all its water within a minute would be no wood, and swing without end.
_STEADY_G_PER_EXCHANGE = 150.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildingParameters:
    """Walls, air, window, vent, heater, birds and boxes."""

    volume_m3: float = allowed(1.0, 5_000.0, "m³", default=30.0)
    # Heat that air and light things store, and walls, floor and heavy things.
    air_j_per_k: float = allowed(1e4, 1e8, "J/K", default=1.5e5)
    mass_j_per_k: float = allowed(1e5, 1e10, "J/K", default=2.2e6)
    # Between air and mass, and between mass and outdoors.
    air_to_mass_w_per_k: float = allowed(1.0, 1e5, "W/K", default=150.0)
    mass_to_outdoors_w_per_k: float = allowed(1.0, 1e4, "W/K", default=38.0)
    # A pane of single glass, 5.7 W/(m²K) (from memory); of the level's sun times its area so
    # much comes in. Sun on the roof and the clear night sky act on the mass from outside.
    window_m2: float = allowed(0.0, 100.0, "m²", default=1.0)
    window_w_m2_k: float = allowed(0.4, 6.5, "W/(m²K)", default=5.7)
    window_sun_share: float = allowed(0.0, 1.0, default=0.4)
    roof_sun_m2: float = allowed(0.0, 50.0, "m²", default=0.3)
    clear_sky_w: float = allowed(0.0, 5_000.0, "W", default=30.0)
    # How much colder than the air outdoors a pane faces under a clear sky.
    clear_sky_k: float = allowed(0.0, 15.0, "K", default=3.0)
    # Changes of air: through cracks in a usual wind, and through the vent when it is open. It
    # opens with the warmth of the shed, without electricity.
    cracks_per_h: float = allowed(0.05, 20.0, "changes an hour", default=0.8)
    vent_per_h: float = allowed(0.0, 60.0, "changes an hour", default=7.0)
    vent_opens_c: float = allowed(0.0, 40.0, "°C", default=16.0)
    vent_open_c: float = allowed(0.1, 45.0, "°C", default=20.0)
    # A heater with a thermostat: on below the one, off above the other; 0 W for none.
    heater_w: float = allowed(0.0, 20_000.0, "W", default=1_000.0)
    heater_on_c: float = allowed(-10.0, 30.0, "°C", default=10.0)
    heater_off_c: float = allowed(-9.0, 31.0, "°C", default=11.0)
    # Grown birds; 31 g is the mass in Weathers and Schoenbaechler (1976). What a bird breathes
    # and drops as vapour: no source.
    birds: int = allowed(0, 2_000, default=26)
    bird_g: float = allowed(10.0, 100.0, "g", default=31.0)
    vapour_of_bird_g_per_h: float = allowed(0.0, 2.0, "g/h", default=0.15)
    # Open water and soft food give off so much for each Pa that the air is short of saturation.
    water_g_per_h_pa: float = allowed(0.0, 1.0, "g/(h Pa)", default=0.008)
    # Wood, bedding and seed: water for the whole step from 0 to 100 % humidity, and exchange.
    # 30 m² of bare wood at 1 g/m² for each % (moisture buffering, Rode 2005, from memory).
    wood_g: float = allowed(0.0, 1e6, "g", default=3_000.0)
    wood_g_per_h_pa: float = allowed(0.0, 100.0, "g/(h Pa)", default=0.25)
    # Water that stays on a cold pane; more runs off and out.
    film_g_per_m2: float = allowed(0.0, 1_000.0, "g/m²", default=60.0)
    # A nest box that hen or chicks warm wholly: how far its air is on the way from the shed's
    # warmth to a bird's, how much vapour it has more, and how fast it follows.
    box_warm_share: float = allowed(0.0, 0.9, default=0.23)
    box_vapour_pa: float = allowed(0.0, 3_000.0, "Pa", default=550.0)
    box_follows_min: float = allowed(1.0, 240.0, "min", default=25.0)

    def __post_init__(self) -> None:
        refuse_impossible(self)
        if self.heater_off_c <= self.heater_on_c:
            raise ImpossibleParameterError(
                "heater_off_c", self.heater_off_c, f"more than heater_on_c ({self.heater_on_c:g})"
            )
        if 0.0 < self.wood_g < _STEADY_G_PER_EXCHANGE * self.wood_g_per_h_pa:
            least = _STEADY_G_PER_EXCHANGE * self.wood_g_per_h_pa
            raise ImpossibleParameterError("wood_g", self.wood_g, f"0, or at least {least:g} g")
        if self.vent_open_c <= self.vent_opens_c:
            raise ImpossibleParameterError(
                "vent_open_c", self.vent_open_c, f"more than vent_opens_c ({self.vent_opens_c:g})"
            )

    @property
    def surface_share(self) -> float:
        """How far the coldest inner surface is on the way from inside to outside."""
        return self.window_w_m2_k / SURFACE_W_M2_K if self.window_m2 > 0.0 else CORNER_SHARE

    @property
    def surface_m2(self) -> float:
        """The coldest surface [m²]: the window, without one a corner."""
        return self.window_m2 if self.window_m2 > 0.0 else _CORNER_M2
