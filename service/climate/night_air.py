"""What a night is summed up from, and sums over samples of it. Pure.

A sample holds from its time until the next one, but no longer than a gap: beyond that nobody
knows, and what nobody knows is counted neither as an hour below nor as covered.
"""

import math
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Literal

from service.climate.moist_air import (
    ACCEPTED_C,
    HIGHEST_HUMIDITY_PCT,
    saturation_vapour_pressure_pa,
)
from service.climate.samples import Sample, ms_in

SurfaceKnown = Literal["measured", "reckoned"]
"""How the temperature of the coldest surface is known: by a sensor on it, or from the air."""

FALL_OVER = timedelta(minutes=30)
"""A fall is told over at least so long: over less, a sensor's noise is a fall."""

_LOWEST_C, _HIGHEST_C = ACCEPTED_C
_HOUR_MS = 3_600_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """Samples of one quantity, oldest first; they may have gaps and may be empty.

    ``max_gap`` is how long a sample holds.
    """

    samples: Sequence[Sample]
    max_gap: timedelta

    @property
    def gap_ms(self) -> int:
        """``max_gap`` in milliseconds."""
        return ms_in(self.max_gap)


NOTHING = Series(samples=(), max_gap=timedelta(0))
"""Where there is no such sensor."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceDoubt:
    """By how much the surface may have been colder, and warmer, than it is told [K]."""

    colder_k: float = 0.0
    warmer_k: float = 0.0


CERTAIN = SurfaceDoubt()
OF_SENSORS = SurfaceDoubt(colder_k=0.2, warmer_k=0.2)
"""The accuracy that small digital thermometers state (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NightAir:
    """Temperature [°C] and humidity [%] of the air, and the coldest surface [°C].

    They begin a day before the first night: water that gathered on a surface then may still
    be there. ``known`` is None where nobody knows how cold the surface is.
    """

    temperature: Series
    humidity: Series = NOTHING
    surface: Series = NOTHING
    known: SurfaceKnown | None = None
    doubt: SurfaceDoubt = CERTAIN


Moist = tuple[int, int, float, float, float | None]
"""Air at a time [ms], and how long it holds [ms]: its temperature [°C] and vapour pressure [Pa];
and the coldest surface then [°C], None where nobody knows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fall:
    """The fastest fall [K/h, 0 where it only grew warmer], and when it began [ms]."""

    k_per_h: float
    since_ms: int


def held(series: Series, since_ms: int, until_ms: int) -> Iterator[tuple[float, int]]:
    """Each value with how long [ms] it holds within ``since_ms`` to ``until_ms``."""
    all_of, gap_ms = series.samples, series.gap_ms
    last = len(all_of) - 1
    for i in range(_first_held(series, since_ms), len(all_of)):
        at, value = all_of[i]
        if at >= until_ms:
            return
        end = at + gap_ms
        if i < last and all_of[i + 1][0] < end:
            end = all_of[i + 1][0]
        span = min(end, until_ms) - max(at, since_ms)
        if span > 0:
            yield value, span


def within(series: Series, since_ms: int, until_ms: int) -> Sequence[Sample]:
    """The samples with ``since_ms <= time < until_ms``."""
    start = bisect_left(series.samples, (since_ms,))
    return series.samples[start : bisect_left(series.samples, (until_ms,))]


def clipped(air: NightAir, since_ms: int, until_ms: int) -> NightAir:
    """The humidities within a time, with the temperatures that may hold then; no surface."""
    temperature, humidity = air.temperature, air.humidity
    return NightAir(
        temperature=replace(
            temperature, samples=within(temperature, since_ms - temperature.gap_ms, until_ms)
        ),
        humidity=replace(humidity, samples=within(humidity, since_ms, until_ms)),
    )


def values_at(series: Series, told: Sequence[Sample]) -> list[float | None]:
    """What holds at the time of each sample of another series; None in a gap."""
    if _told_together(series.samples, told):
        return [value for _, value in series.samples]
    found: list[float | None] = []
    mine, gap_ms, end = series.samples, series.gap_ms, len(series.samples)
    following = 0  # the first sample that is later
    for at, _ in told:
        while following < end and mine[following][0] <= at:
            following += 1
        if following and at - mine[following - 1][0] <= gap_ms:
            found.append(mine[following - 1][1])
        else:
            found.append(None)
    return found


def _told_together(one: Sequence[Sample], other: Sequence[Sample]) -> bool:
    """A sender that tells both tells them at the same time: that is quickly seen."""
    return len(one) == len(other) and all(a[0] == b[0] for a, b in zip(one, other, strict=True))


def moist(air: NightAir) -> Iterator[Moist]:
    """The air wherever its temperature and humidity are known together.

    A humidity that no air has, and a temperature beyond the formula, are left out.
    """
    told, gap_ms = air.humidity.samples, air.humidity.gap_ms
    warmth, cold = values_at(air.temperature, told), values_at(air.surface, told)
    # A sensor tells hundredths of a degree: the same values over and over.
    saturated: dict[float, float] = {}
    ends = [at for at, _ in told[1:]]
    if told:
        ends.append(told[-1][0] + gap_ms)
    for (at, humidity_pct), next_at, air_c, surface_c in zip(told, ends, warmth, cold, strict=True):
        if air_c is None or not 0.0 < humidity_pct <= HIGHEST_HUMIDITY_PCT:
            continue
        if not _LOWEST_C <= air_c <= _HIGHEST_C:
            continue
        saturated_pa = saturated.get(air_c)
        if saturated_pa is None:
            saturated_pa = saturated[air_c] = saturation_vapour_pressure_pa(air_c)
        vapour_pa = saturated_pa * humidity_pct / 100.0
        yield at, min(gap_ms, next_at - at), air_c, vapour_pa, surface_c


def hours_beyond(
    values: Sequence[tuple[float, int]], setpoints: Sequence[float], *, above: bool = False
) -> Mapping[float, float]:
    """Hours below (or above) each setpoint, of values with how long each holds [ms]."""
    if above:
        least = min(setpoints, default=math.inf)
        beyond = [one for one in values if one[0] > least]
    else:
        most = max(setpoints, default=-math.inf)
        beyond = [one for one in values if one[0] < most]
    return {
        setpoint: sum(
            span for value, span in beyond if (value > setpoint if above else value < setpoint)
        )
        / _HOUR_MS
        for setpoint in setpoints
    }


def fastest_fall(series: Series, since_ms: int, until_ms: int) -> Fall | None:
    """The steepest stretch from a sample to the first that is FALL_OVER or more later.

    None where there is no such stretch without a gap.
    """
    told = within(series, since_ms, until_ms)
    over_ms, gap_ms = ms_in(FALL_OVER), series.gap_ms
    best: Fall | None = None
    start = 0
    for i, (at, value) in enumerate(told):
        if i and at - told[i - 1][0] > gap_ms:
            start = i
        # Only the last that is long enough ago: one reading's noise is shared by half an hour.
        while start + 1 <= i and at - told[start + 1][0] >= over_ms:
            start += 1
        before, was = told[start]
        if at - before < over_ms:
            continue
        rate = (was - value) * _HOUR_MS / (at - before)
        if best is None or rate > best.k_per_h:
            best = Fall(k_per_h=max(0.0, rate), since_ms=before)
    return best


def _first_held(series: Series, since_ms: int) -> int:
    """The sample that may still hold at ``since_ms``."""
    return max(0, bisect_left(series.samples, (since_ms,)) - 1)
