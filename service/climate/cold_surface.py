"""The coldest surface of the shed, where water is seen first: a window pane, or a thin wall.

Where a sensor measures it (a place of kind "surface") it needs no guess. Otherwise the keeper
says how far it lies on the way from inside to outdoors, by the temperature factor of ISO 13788,
f_Rsi = (surface - outdoors) / (inside - outdoors): near 0 for bare metal or thin glass, near 1
for a well lined wall; or, without an outdoor sensor, how many kelvin it is below the air. Pure.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdSurface:
    """Exactly one of the two is given: ``temperature_factor`` 0 to 1, ``below_air_k`` above 0."""

    temperature_factor: float | None = None
    below_air_k: float | None = None

    def __post_init__(self) -> None:
        if (self.temperature_factor is None) == (self.below_air_k is None):
            raise ValueError("give the temperature factor or the kelvins below the air, one of two")

    def at_c(self, inside_c: float, outdoors_c: float | None) -> float | None:
        """How cold the surface is [°C]; None where that needs an outdoor reading and has none."""
        if self.below_air_k is not None:
            return inside_c - self.below_air_k
        if outdoors_c is None or self.temperature_factor is None:
            return None
        # Warm air outdoors does not make the coldest surface warmer than the air inside.
        return min(inside_c, outdoors_c + self.temperature_factor * (inside_c - outdoors_c))
