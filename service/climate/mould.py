"""Whether mould may grow on the coldest surface: the index of Hukka and Viitanen. Advisory.

Source: Hukka and Viitanen 1999, Wood Science and Technology 33:475-485. The abstract was read;
the formulas are from memory. Index 0 none, 1 seen with a microscope, 3 first seen with the eye,
4 on 10 to 50 % of the surface, 5 on more than half, 6 everywhere (Viitanen and Ojanen 2007).

Limits: made for sawn pine in a laboratory. Glass, metal and paint grow less; dust, droppings and
food on a surface grow more, and faster. Mould that is there is not cleaned away by dry air,
whatever the index says. Pure.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from service.climate.moist_air import saturation_vapour_pressure_pa

VISIBLE = 3.0
MICROSCOPIC = 1.0

_GROWS_C = (0.0, 50.0)
_DRY_HOURS = 6
_RESTING_HOURS = 24
_FALL_AT_ONCE = 0.00133
_FALL_LATER = 0.000667


def critical_humidity_pct(surface_c: float) -> float:
    """Below this humidity at the surface [%] nothing grows at this temperature [°C]."""
    if surface_c > 20:
        return 80.0
    return -0.00267 * surface_c**3 + 0.160 * surface_c**2 - 3.13 * surface_c + 100.0


def weeks_to_microscopic(surface_c: float, humidity_pct: float) -> float:
    """Until index 1, in steady air above the critical humidity; sawn pine [weeks]."""
    return math.exp(-0.68 * math.log(surface_c) - 13.9 * math.log(humidity_pct) + 66.02)


def weeks_to_visible(surface_c: float, humidity_pct: float) -> float:
    """Until index 3, in steady air above the critical humidity; sawn pine [weeks]."""
    return math.exp(-0.74 * math.log(surface_c) - 12.72 * math.log(humidity_pct) + 61.50)


def highest_index(surface_c: float, humidity_pct: float) -> float:
    """More than this never grows in this air; 6 at 100 %."""
    critical = critical_humidity_pct(surface_c)
    if critical >= 100:
        return 0.0
    x = (critical - humidity_pct) / (critical - 100)
    return 1 + 7 * x - 2 * x**2


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceHour:
    """A surface in one hour: its temperature [°C], and the humidity of the air on it [%]."""

    surface_c: float
    humidity_pct: float

    @property
    def grows(self) -> bool:
        """Whether anything can grow."""
        low, high = _GROWS_C
        warm = low < self.surface_c < high
        return warm and self.humidity_pct > critical_humidity_pct(self.surface_c)


def surface_hour(surface_c: float, vapour_pa: float) -> SurfaceHour:
    """The surface in air of this vapour pressure [Pa]; where water gathers it is at 100 %."""
    humidity = 100 * vapour_pa / saturation_vapour_pressure_pa(surface_c)
    return SurfaceHour(surface_c=surface_c, humidity_pct=min(100.0, humidity))


@dataclass(frozen=True, slots=True, kw_only=True)
class MouldIndex:
    """``least`` takes unmeasured hours for dry, ``most`` for as damp as the worst hour that was
    measured. ``coverage`` of the time, 0 to 1; ``damp_h`` are measured hours in which mould grows.
    """

    least: float
    most: float
    coverage: float
    damp_h: int


def mould_index(hours: Sequence[SurfaceHour | None]) -> MouldIndex | None:
    """The index after these hours, from 0: a clean surface.

    Args:
        hours: hour after hour without a break, None where nothing was measured.

    Returns:
        None where nothing was measured in any hour: nobody can tell.
    """
    told = [one for one in hours if one is not None]
    if not told:
        return None
    worst = max(told, key=_growth_a_day)
    return MouldIndex(
        least=_index(hours, None),
        most=_index(hours, worst),
        coverage=len(told) / len(hours),
        damp_h=sum(one.grows for one in told),
    )


def _growth_a_day(hour: SurfaceHour) -> float:
    if not hour.grows:
        return 0.0
    return 1 / (7 * weeks_to_microscopic(hour.surface_c, hour.humidity_pct))


def _index(hours: Sequence[SurfaceHour | None], unmeasured: SurfaceHour | None) -> float:
    index, dry_h = 0.0, 0
    for told in hours:
        hour = unmeasured if told is None else told
        if hour is not None and hour.grows:
            index, dry_h = _grown(index, hour), 0
        elif hour is None or hour.surface_c > _GROWS_C[0]:
            dry_h += 1
            index = max(0.0, index - _fall(dry_h))
        # In frost it neither grows nor dies back.
    return index


def _grown(index: float, hour: SurfaceHour) -> float:
    """One hour on."""
    highest = highest_index(hour.surface_c, hour.humidity_pct)
    slowed = max(0.0, 1 - math.exp(2.3 * (index - highest)))
    return index + _pace(index, hour) * _growth_a_day(hour) * slowed / 24


def _pace(index: float, hour: SurfaceHour) -> float:
    """From index 1 on it grows so that 3 comes when it was seen to."""
    if index < MICROSCOPIC:
        return 1.0
    microscopic = weeks_to_microscopic(hour.surface_c, hour.humidity_pct)
    visible = weeks_to_visible(hour.surface_c, hour.humidity_pct)
    return 2 / (visible / microscopic - 1)


def _fall(dry_h: int) -> float:
    if dry_h <= _DRY_HOURS:
        return _FALL_AT_ONCE
    return 0.0 if dry_h <= _RESTING_HOURS else _FALL_LATER
