"""What one night's air was like. Pure.

A reading holds from its time until the next one, but no longer than ``max_gap``: in a gap
nobody knows, and what nobody knows is not counted as an hour below, nor as covered.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from service.climate.moist_air import dew_point_c
from service.climate.nights import Measured, Night, usable

_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class NightSummary:
    """One night at one place; what no reading told is None.

    ``hours_below`` has an hour count for each low setpoint [°C]; ``dew_margin_min_c`` is the
    least by which the air was above its own dew point [°C]. ``condensation_min`` is None as
    long as no temperature of a surface is known. ``coverage`` is the share of the night, 0
    to 1, that lies within ``max_gap`` after a reading of temperature.
    """

    night: Night
    low_c: float | None
    low_at: datetime | None
    hours_below: Mapping[float, float]
    rh_max_pct: float | None
    dew_margin_min_c: float | None
    condensation_min: float | None
    coverage: float


def summarise_night(
    night: Night,
    temperatures: Sequence[Measured],
    humidities: Sequence[Measured],
    low_setpoints_c: Iterable[float],
    *,
    max_gap: timedelta,
    now: datetime,
) -> NightSummary:
    """Sum a night up as far as it has gone.

    Args:
        night: one that is still going on is summed up until ``now``.
        temperatures: of one sensor [°C], oldest first, from ``max_gap`` before the night on;
            they may have gaps and may be empty. Those flagged fail or missing don't count.
        humidities: of the same sensor [%], likewise.
        low_setpoints_c: for which to count the hours below [°C].
        max_gap: how long a reading holds.
        now: the end of what is known.
    """
    until = min(night.until or now, now)
    warmth = list(usable(temperatures))
    damp = [reading for reading in usable(humidities) if night.since <= reading.measured_at < until]
    held = list(_held(warmth, night.since, until, max_gap))
    lowest = min(
        (reading for reading in warmth if night.since <= reading.measured_at < until),
        key=lambda reading: reading.value,
        default=None,
    )
    length = until - night.since
    return NightSummary(
        night=night,
        low_c=lowest.value if lowest else None,
        low_at=lowest.measured_at if lowest else None,
        hours_below={
            setpoint: sum((span for value, span in held if value < setpoint), timedelta(0)) / _HOUR
            for setpoint in low_setpoints_c
        },
        rh_max_pct=max((reading.value for reading in damp), default=None),
        dew_margin_min_c=min(_dew_margins_c(warmth, damp, max_gap), default=None),
        condensation_min=None,
        coverage=sum((span for _, span in held), timedelta(0)) / length if length else 0.0,
    )


def _held(
    readings: Sequence[Measured], since: datetime, until: datetime, max_gap: timedelta
) -> Iterator[tuple[float, timedelta]]:
    """Each value with the part of ``since`` to ``until`` for which it holds."""
    for i, reading in enumerate(readings):
        end = min(reading.measured_at + max_gap, until)
        if i + 1 < len(readings):
            end = min(end, readings[i + 1].measured_at)
        span = end - max(reading.measured_at, since)
        if span > timedelta(0):
            yield reading.value, span


def _dew_margins_c(
    temperatures: Sequence[Measured], humidities: Iterable[Measured], max_gap: timedelta
) -> Iterator[float]:
    """How far the air was above its dew point at each reading of humidity."""
    times = [reading.measured_at for reading in temperatures]
    for humidity in humidities:
        i = bisect_right(times, humidity.measured_at) - 1
        if i < 0 or humidity.measured_at - times[i] > max_gap:
            continue
        try:
            dew_c = dew_point_c(temperatures[i].value, humidity.value)
        except ValueError:  # dry as bone or beyond the formula: no dew point to tell
            continue
        yield temperatures[i].value - dew_c
