"""Heat of two stores, the air and the mass of the shed, exact for steady minutes. Pure.

The two equations of balance are linear, so their solution over a minute in which nothing else
changes is a sum of two exponentials, however fast the air follows.
"""

from math import exp, sqrt

STEP_S = 60.0


class TwoStores:
    """Air and mass: capacities [J/K], between them ``inner``, mass to outdoors ``outer`` [W/K]."""

    __slots__ = ("_air", "_inner", "_mass", "_outer")

    def __init__(
        self, air_j_per_k: float, mass_j_per_k: float, inner_w_per_k: float, outer_w_per_k: float
    ) -> None:
        self._air = air_j_per_k
        self._mass = mass_j_per_k
        self._inner = inner_w_per_k
        self._outer = outer_w_per_k

    def step(
        self,
        stores_c: tuple[float, float],
        outdoors_c: float,
        leak_w_per_k: float,
        given_w: tuple[float, float],
    ) -> tuple[float, float, float, float]:
        """One minute on.

        Args:
            stores_c: air and mass at its beginning [°C].
            outdoors_c: through the minute [°C].
            leak_w_per_k: from air straight outdoors: window and changes of air [W/K].
            given_w: heat to the air and to the mass [W].

        Returns:
            Air and mass at the end, and their means through the minute [°C].
        """
        (air_c, mass_c), (air_w, mass_w) = stores_c, given_w
        inner, outer = self._inner, self._outer
        a = -(inner + leak_w_per_k) / self._air
        b = inner / self._air
        c = inner / self._mass
        d = -(inner + outer) / self._mass
        fed_air = (leak_w_per_k * outdoors_c + air_w) / self._air
        fed_mass = (outer * outdoors_c + mass_w) / self._mass
        whole = a * d - b * c
        still_air = (b * fed_mass - d * fed_air) / whole
        still_mass = (c * fed_air - a * fed_mass) / whole

        middle = 0.5 * (a + d)
        spread = sqrt((0.5 * (a - d)) ** 2 + b * c)
        slow, fast = exp((middle + spread) * STEP_S), exp((middle - spread) * STEP_S)
        even, odd = 0.5 * (slow + fast), 0.5 * (slow - fast) / spread
        off_air, off_mass = air_c - still_air, mass_c - still_mass
        to_air = still_air + even * off_air + odd * ((a - middle) * off_air + b * off_mass)
        to_mass = still_mass + even * off_mass + odd * (c * off_air + (d - middle) * off_mass)

        by_air, by_mass = (to_air - air_c) / STEP_S, (to_mass - mass_c) / STEP_S
        mean_air = still_air + (d * by_air - b * by_mass) / whole
        mean_mass = still_mass + (a * by_mass - c * by_air) / whole
        return to_air, to_mass, mean_air, mean_mass
