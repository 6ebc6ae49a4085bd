"""What one night's air was like. Pure.

A reading holds from its time until the next one, but no longer than its gap: in a gap nobody
knows, and what nobody knows is not counted as an hour below, nor as covered.
"""

from bisect import bisect_left
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from operator import itemgetter

from service.climate.moist_air import dew_point_of_vapour_c
from service.climate.night_air import (
    Moist,
    NightAir,
    SurfaceKnown,
    clipped,
    fastest_fall,
    held,
    hours_beyond,
    moist,
    within,
)
from service.climate.nights import Night
from service.climate.samples import Sample, at_ms, ms_of
from service.climate.surface_water import SurfaceWater, TimesMs, surface_water

SURE_WITHIN, SURE_WITHIN_MIN = 0.1, 15.0
"""Minutes of water are told where they are known within a tenth, or a quarter of an hour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """For which setpoints to count hours: below temperatures [°C], above humidities [%]."""

    below_c: Sequence[float] = ()
    above_pct: Sequence[float] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NightSummary:
    """One night at one place; what no reading told is None.

    ``hours_below`` has an hour count for each low setpoint [°C], ``hours_above`` for each
    humidity [%]. Margins are the least by which air and coldest surface were above the dew
    point of the air [K], below 0 where water gathers. ``surface`` says how the surface is
    known. ``condensation_min`` [min] with water on it is None where nobody knows, and where
    it is reckoned and the least and the most that it may have been are far apart. The fastest
    fall [K/h] is over at least half an hour, told with its beginning. Coverages are shares of
    the night, 0 to 1, in which temperature, humidity, and air and surface together were known.
    """

    night: Night
    low_c: float | None
    low_at: datetime | None
    hours_below: Mapping[float, float]
    rh_max_pct: float | None
    dew_margin_min_c: float | None
    condensation_min: float | None
    coverage: float
    hours_above: Mapping[float, float] = field(default_factory=dict)
    rh_max_at: datetime | None = None
    dew_margin_min_at: datetime | None = None
    surface: SurfaceKnown | None = None
    condensation_least_min: float | None = None
    condensation_most_min: float | None = None
    surface_margin_min_c: float | None = None
    surface_margin_min_at: datetime | None = None
    fall_max_k_per_h: float | None = None
    fall_max_at: datetime | None = None
    humidity_coverage: float = 0.0
    surface_coverage: float = 0.0


def summarise_night(
    night: Night, air: NightAir, counted: Counted, *, now: datetime
) -> NightSummary:
    """Sum a night up as far as it has gone: as ``summarise_nights``."""
    return summarise_nights((night,), air, counted, now=now)[0]


def summarise_nights(
    nights: Sequence[Night], air: NightAir, counted: Counted, *, now: datetime
) -> list[NightSummary]:
    """Sum nights up, each as far as it has gone.

    Args:
        nights: oldest first; one that is still going on is summed up until ``now``.
        air: of one place, from a day before the first night on. Suspect readings count.
        counted: the setpoints to count hours for.
        now: the end of what is known.
    """
    # Where no surface is known, the air of the days between matters to nothing.
    known = [] if air.known is None else list(moist(air))
    all_of = _Known(air=air, moist=known, water=surface_water(known, air.doubt))
    return [_summed(night, min(night.until or now, now), all_of, counted) for night in nights]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Known:
    """The air of all the nights, and what was reckoned from it once for all of them."""

    air: NightAir
    moist: Sequence[Moist]
    water: SurfaceWater


def _summed(night: Night, end: datetime, known: _Known, counted: Counted) -> NightSummary:
    since, until = ms_of(night.since), ms_of(end)
    air, water = known.air, known.water
    length_ms = until - since
    warmth = list(held(air.temperature, since, until))
    damp = list(held(air.humidity, since, until))
    low = min(within(air.temperature, since, until), key=_value, default=None)
    most_damp = max(within(air.humidity, since, until), key=_value, default=None)
    fall = fastest_fall(air.temperature, since, until)
    to_dew, to_surface = _margins(_moist_between(known, since, until))
    least, wet, most = (
        _minutes(times, since, until) for times in (water.least, water.wet, water.most)
    )
    known_ms = _common_ms(water.known, since, until)
    return NightSummary(
        night=night,
        low_c=low[1] if low else None,
        low_at=_at(low),
        hours_below=hours_beyond(warmth, counted.below_c),
        hours_above=hours_beyond(damp, counted.above_pct, above=True),
        rh_max_pct=most_damp[1] if most_damp else None,
        rh_max_at=_at(most_damp),
        dew_margin_min_c=to_dew[1] if to_dew else None,
        dew_margin_min_at=_at(to_dew),
        surface=air.known if known_ms else None,
        surface_margin_min_c=to_surface[1] if to_surface else None,
        surface_margin_min_at=_at(to_surface),
        condensation_min=_wet_min(least, wet, most, air) if known_ms else None,
        condensation_least_min=least if known_ms else None,
        condensation_most_min=most if known_ms else None,
        fall_max_k_per_h=fall.k_per_h if fall else None,
        fall_max_at=at_ms(fall.since_ms) if fall else None,
        coverage=_share(sum(span for _, span in warmth), length_ms),
        humidity_coverage=_share(sum(span for _, span in damp), length_ms),
        surface_coverage=_share(known_ms, length_ms),
    )


def _moist_between(known: _Known, since_ms: int, until_ms: int) -> Iterable[Moist]:
    if known.air.known is None:
        return moist(clipped(known.air, since_ms, until_ms))
    all_of = known.moist
    return all_of[bisect_left(all_of, (since_ms,)) : bisect_left(all_of, (until_ms,))]


def _common_ms(times: TimesMs, since_ms: int, until_ms: int) -> int:
    """How much of stretches that don't overlap lies in ``since_ms`` to ``until_ms``."""
    first = max(0, bisect_left(times, (since_ms,)) - 1)
    last = bisect_left(times, (until_ms,))
    return sum(
        max(0, min(end, until_ms) - max(begin, since_ms)) for begin, end in times[first:last]
    )


def _minutes(times: TimesMs, since_ms: int, until_ms: int) -> float:
    return _common_ms(times, since_ms, until_ms) / _MINUTE_MS


def _wet_min(least_min: float, wet_min: float, most_min: float, air: NightAir) -> float | None:
    """Minutes as told; None where the surface is reckoned and the sky may have made much of it.

    Told dry, a pane under a clear sky would be false comfort.
    """
    sure = most_min - least_min <= max(SURE_WITHIN_MIN, SURE_WITHIN * most_min)
    return wet_min if sure or air.known == "measured" else None


def _at(sample: Sample | None) -> datetime | None:
    return at_ms(sample[0]) if sample else None


_MINUTE_MS = 60_000
_value = itemgetter(1)


def _share(part_ms: int, length_ms: int) -> float:
    return part_ms / length_ms if length_ms else 0.0


def _margins(known: Iterable[Moist]) -> tuple[Sample | None, Sample | None]:
    """The least by which air, and by which surface, were above the dew point, with its time."""
    air: Sample | None = None
    surface: Sample | None = None
    for at, _, air_c, vapour_pa, surface_c in known:
        dew_c = dew_point_of_vapour_c(vapour_pa)
        if air is None or air_c - dew_c < air[1]:
            air = (at, air_c - dew_c)
        if surface_c is not None and (surface is None or surface_c - dew_c < surface[1]):
            surface = (at, surface_c - dew_c)
    return air, surface
