"""Water on the coldest surface, from the air beside it and from how cold it is. Pure.

Vapour settles on a surface while the air's vapour pressure is above that of saturation at the
surface, and leaves it again while it is below, both in proportion to the difference and by the
same transfer (Lewis's relation of heat and mass transfer; from memory). So the water is the
running sum of the difference since the surface was dry last [Pa h], and how large the transfer
is does not matter to the minutes, but for one thing: a film holds only so much, the rest runs
off and is gone.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from service.climate.cold_surface import ColdSurface
from service.climate.moist_air import saturation_vapour_pressure_pa
from service.climate.night_air import Moist, Series, values_at
from service.climate.samples import ms_in

FILM_PA_H = 900.0
"""What a film holds: 60 g/m² (no source) at the 0.067 g/(h Pa m²) that Lewis's relation gives
with 3 W/(m² K) of heat carried to a wall by still air (from memory)."""

FORGOTTEN_AFTER = timedelta(hours=3)
"""What was on a surface before a longer gap is not known after it; it counts as dry, and the
gap as not covered."""

_HOUR_MS = 3_600_000
_MINUTE_MS = 60_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Wetness:
    """``minutes`` with water on the surface, and for how long [ms] both were known."""

    minutes: float
    known_ms: int


def wetness(moist: Iterable[Moist], since_ms: int, until_ms: int) -> Wetness:
    """How long the surface was wet within ``since_ms`` to ``until_ms``.

    Args:
        moist: the air, oldest first, from some hours before on; where no surface is known
            it says nothing.
        since_ms: begin of the time asked for.
        until_ms: its end; what held longer is cut there.
    """
    water_pa_h, wet_ms, known_ms = 0.0, 0.0, 0
    forgotten_ms, ended = ms_in(FORGOTTEN_AFTER), since_ms
    for at, span_ms, _, air_pa, surface_c in moist:
        if surface_c is None:
            continue
        if at - ended > forgotten_ms:
            water_pa_h = 0.0
        ended = at + span_ms
        until = min(ended, until_ms)
        gains_pa = air_pa - saturation_vapour_pressure_pa(surface_c)
        wet_until = _wet_until(at, until, water_pa_h, gains_pa)
        water_pa_h += gains_pa * (until - at) / _HOUR_MS
        water_pa_h = min(FILM_PA_H, max(0.0, water_pa_h))
        begin = max(at, since_ms)
        wet_ms += max(0.0, wet_until - begin)
        known_ms += max(0, until - begin)
    return Wetness(minutes=wet_ms / _MINUTE_MS, known_ms=known_ms)


def _wet_until(at: int, until: int, water_pa_h: float, gains_pa: float) -> float:
    """When the surface is dry, within ``at`` to ``until`` [ms]; ``at`` where it is all along."""
    if gains_pa > 0.0:
        return until
    if gains_pa == 0.0:
        return until if water_pa_h > 0.0 else at
    return min(until, at - water_pa_h / gains_pa * _HOUR_MS)


def reckoned(surface: ColdSurface, temperature: Series, outdoors: Series) -> Series:
    """The surface as the keeper described it, at each sample of temperature that allows it.

    Args:
        surface: how cold it is.
        temperature: of the air inside [°C].
        outdoors: of the air outdoors [°C]; not needed where the surface is told in kelvin.
    """
    outside = values_at(outdoors, temperature.samples)
    found = []
    for (at, inside_c), outdoors_c in zip(temperature.samples, outside, strict=True):
        surface_c = surface.at_c(inside_c, outdoors_c)
        if surface_c is not None:
            found.append((at, surface_c))
    return Series(samples=found, max_gap=temperature.max_gap)
