"""Water on the coldest surface, from the air beside it and from how cold it is. Pure.

Vapour settles on a surface while the air's vapour pressure is above that of saturation at the
surface, and leaves it again while it is below, both in proportion to the difference and by the
same transfer (Lewis's relation of heat and mass transfer; from memory). So the water is the
running sum of the difference since the surface was dry last [Pa h], and how large the transfer
is does not matter to the minutes, but for one thing: a film holds only so much, the rest runs
off and is gone. Saturation is over liquid water below zero too, as if no frost formed; the most
that there may have been allows for frost, which comes before dew there and is water once it thaws.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import timedelta

from service.climate.cold_surface import ColdSurface
from service.climate.frost import saturation_over_ice_pa
from service.climate.moist_air import ACCEPTED_C, saturation_vapour_pressure_pa
from service.climate.night_air import CERTAIN, Moist, Series, SurfaceDoubt, values_at
from service.climate.samples import Sample, ms_in

FILM_PA_H = 900.0
"""What a film holds: 60 g/m² (no source) at the 0.067 g/(h Pa m²) that Lewis's relation gives
with 3 W/(m² K) of heat carried to a wall by still air (from memory)."""

CLEAR_SKY_K = 3.0
"""How much colder than the air outdoors that is which a window faces under a clear night sky
(from memory; windows and thin roofs gather dew and frost while the air is warmer)."""

FACTOR_OFF_K = 1.0
"""How much warmer a surface may be than its factor says: a tenth of ten kelvin between inside and
outdoors, for usual factors are rounded to about a tenth (no source)."""

BELOW_AIR_OFF = 0.5
"""Told in kelvin below the air, a surface is so in some weather only: by how much goes with the
cold outdoors, which differs by half from night to night (no source)."""

DRIES_LATE_K = 0.2
"""A wet surface dries as one that is so much colder: the accuracy that small digital sensors
state (from memory). Rather some minutes too many than a wet wall told dry."""

FORGOTTEN_AFTER = timedelta(hours=3)
"""What was on a surface before a longer gap is not known after it: it counts as dry, and the
gap as not covered."""

_HOUR_MS = 3_600_000
# So far within what the formula takes that a doubt stays within it too.
_LOWEST_C, _HIGHEST_C = ACCEPTED_C[0] + 10.0, ACCEPTED_C[1] - 10.0

TimesMs = list[tuple[int, int]]
"""Stretches of time, oldest first, each from its beginning to its end [ms]."""


@dataclass(slots=True)
class _Film:
    """The water on a surface [Pa h], and the stretches in which there was some."""

    water_pa_h: float = 0.0
    wet: TimesMs = field(default_factory=list)

    def follow(self, at: int, until: int, gains_pa: float) -> None:
        """The surface gains (or loses, below 0) at this rate from ``at`` to ``until``."""
        wet_until = until
        if gains_pa <= 0.0 and (gains_pa == 0.0 or self.water_pa_h == 0.0):
            wet_until = until if self.water_pa_h > 0.0 else at
        elif gains_pa < 0.0:
            wet_until = min(until, at - int(self.water_pa_h / gains_pa * _HOUR_MS))
        grown = self.water_pa_h + gains_pa * (until - at) / _HOUR_MS
        self.water_pa_h = min(FILM_PA_H, max(0.0, grown))
        _joined(self.wet, at, wet_until)


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceWater:
    """When the surface was known at all, when it was wet as it is told, and when it was at
    the least and at the most that its doubt allows.
    """

    known: TimesMs
    least: TimesMs
    wet: TimesMs
    most: TimesMs


def surface_water(moist: Iterable[Moist], doubt: SurfaceDoubt = CERTAIN) -> SurfaceWater:
    """Follow the water on a surface through air that is told oldest first.

    Args:
        moist: where no surface is known it says nothing.
        doubt: how much colder or warmer than told the surface may have been.
    """
    least, told, most = _Film(), _Film(), _Film()
    colder_k, warmer_k = doubt.colder_k, doubt.warmer_k
    known: TimesMs = []
    forgotten_ms, began, ended = ms_in(FORGOTTEN_AFTER), 0, 0
    for at, span_ms, _, vapour_pa, surface_c in moist:
        if surface_c is None or not _LOWEST_C <= surface_c <= _HIGHEST_C:
            continue
        if at - ended > forgotten_ms:
            least.water_pa_h = told.water_pa_h = most.water_pa_h = 0.0
        if at > ended:
            _joined(known, began, ended)
            began = at
        ended = at + span_ms
        gains_pa = vapour_pa - _least_saturation_pa(surface_c - colder_k)
        # Most of the time it is dry, and would be if it were colder: that is quickly said.
        if gains_pa <= 0.0 and most.water_pa_h == 0.0:
            continue
        most.follow(at, ended, max(gains_pa, _gains_pa(vapour_pa, surface_c - colder_k)))
        told.follow(at, ended, _gains_pa(vapour_pa, surface_c))
        least.follow(at, ended, _gains_pa(vapour_pa, surface_c + warmer_k))
    _joined(known, began, ended)
    return SurfaceWater(known=known, least=least.wet, wet=told.wet, most=most.wet)


def _gains_pa(vapour_pa: float, surface_c: float) -> float:
    """What drives vapour onto a surface, or off it (below 0)."""
    gains_pa = vapour_pa - saturation_vapour_pressure_pa(surface_c)
    if gains_pa >= 0.0:
        return gains_pa
    return min(0.0, vapour_pa - saturation_vapour_pressure_pa(surface_c - DRIES_LATE_K))


def _least_saturation_pa(surface_c: float) -> float:
    """Of ice where there may be some: below zero that is less than of water."""
    if surface_c < 0.0:
        return saturation_over_ice_pa(surface_c)
    return saturation_vapour_pressure_pa(surface_c)


def coldest(surfaces: Sequence[Series]) -> Series:
    """The coldest of several surfaces at each time that one of them tells; at least one."""
    if len(surfaces) == 1:
        return surfaces[0]
    told = sorted(sample for each in surfaces for sample in each.samples)
    there = [values_at(each, told) for each in surfaces]
    found: list[Sample] = []
    for (at, value), *others in zip(told, *there, strict=True):
        found.append((at, min([value, *(other for other in others if other is not None)])))
    return Series(samples=found, max_gap=max(each.max_gap for each in surfaces))


def reckoned(surface: ColdSurface, temperature: Series, outdoors: Series) -> Series:
    """The surface as the keeper described it, at each sample of temperature that allows it.

    Args:
        surface: how cold it is.
        temperature: of the air inside [°C].
        outdoors: of the air outdoors [°C]; not needed where the surface is told in kelvin.
    """
    told = temperature.samples
    outside = values_at(outdoors, told)
    found: list[Sample] = []
    for (at, inside_c), outdoors_c in zip(told, outside, strict=True):
        surface_c = surface.at_c(inside_c, outdoors_c)
        if surface_c is not None:
            found.append((at, surface_c))
    return Series(samples=found, max_gap=temperature.max_gap)


def doubt_of(surface: ColdSurface) -> SurfaceDoubt:
    """By how much a surface may be colder, or warmer, than is reckoned for it."""
    if surface.below_air_k is not None:
        half_k = surface.below_air_k * BELOW_AIR_OFF
        return SurfaceDoubt(colder_k=half_k, warmer_k=half_k)
    sky_k = (1.0 - (surface.temperature_factor or 0.0)) * CLEAR_SKY_K
    return SurfaceDoubt(colder_k=sky_k, warmer_k=FACTOR_OFF_K)


def _joined(times: TimesMs, since: int, until: int) -> None:
    """Add a stretch that begins when the last ended, or later; nothing where it is empty."""
    if until <= since:
        return
    if times and times[-1][1] >= since:
        times[-1] = (times[-1][0], until)
    else:
        times.append((since, until))
