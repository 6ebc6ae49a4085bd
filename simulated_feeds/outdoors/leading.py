"""What a scenario makes of the weather: led there smoothly, with its own shape kept. Pure.

A led stretch rises from nothing to full weight and falls back to nothing within its bounds;
outside them the weather is the usual one.
"""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from simulated_feeds.happening import Happening, What
from simulated_feeds.impossible import ImpossibleParameterError
from simulated_feeds.outdoors.sunshine import Values
from simulated_feeds.outdoors.usual import Hours

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_HOUR_S = 3600.0
_SHORTEST = timedelta(hours=6)
LED = (What.COLD_NIGHT, What.DAMP_NIGHT, What.HEAT_WAVE)
# Where a scenario names no low, no high or no temperature of the fog [°C].
PRESET_C = {What.COLD_NIGHT: -4.0, What.DAMP_NIGHT: 13.0, What.HEAT_WAVE: 33.0}
# Which shares of a stretch, and at most how many hours, the rise and the fall take.
_RISE = (0.35, 12.0)
_FALL = (0.25, 8.0)
# Hours that count for the low or the high: those of more than half the weight.
_HEAVY = 0.5
_FOG_DEPRESSION_K = 0.2
_CALM = 0.3
_HEAT_CLOUD = 0.1
# Hot air is drier: its dew point rises by so much of what the temperature does.
_HEAT_MOISTENS = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Led:
    """One stretch: full hours since 1970, and by how much it is warmer at full weight [K]."""

    what: What
    since: float
    until: float
    shift_k: float = 0.0

    @property
    def full(self) -> tuple[float, float]:
        """From when until when the weight is full."""
        length = self.until - self.since
        rise = min(_RISE[0] * length, _RISE[1])
        return self.since + rise, self.until - min(_FALL[0] * length, _FALL[1])

    def weight(self, hours: Values) -> Values:
        """0 outside, 1 in the full part, smooth between."""
        full_from, full_until = self.full
        rise = (hours - self.since) / (full_from - self.since)
        fall = (self.until - hours) / (self.until - full_until)
        share = np.clip(np.minimum(rise, fall), 0.0, 1.0)
        return np.asarray(share * share * (3.0 - 2.0 * share))


def bounds(happening: Happening) -> Led:
    """A stretch that shifts nothing yet.

    Raises:
        ImpossibleParameterError: it is so short that the air would have to leap.
    """
    length = happening.until - happening.since
    if length < _SHORTEST:
        raise ImpossibleParameterError(f"length of {happening.what}", length, "at least 6 h")
    since, until = (
        (at - _EPOCH).total_seconds() / _HOUR_S for at in (happening.since, happening.until)
    )
    return Led(what=happening.what, since=since, until=until)


def aimed(led: Led, happening: Happening, usual: Hours) -> Led:
    """The stretch with the shift that leads the usual weather of its hours to the amount.

    The lowest full hour of a cold night and the highest of a heat wave become the amount; a
    damp night is as mild as that at least, all through.
    """
    to_c = PRESET_C[led.what] if happening.amount is None else happening.amount
    if led.what is What.DAMP_NIGHT:
        return replace(led, shift_k=to_c)
    weight = led.weight(usual.hours)
    heavy = weight >= _HEAVY
    shifts = (to_c - usual.temperature_c[heavy]) / weight[heavy]
    extreme = np.max if led.what is What.COLD_NIGHT else np.min
    return replace(led, shift_k=float(extreme(shifts)))


def led_weather(hours: Hours, stretches: tuple[Led, ...]) -> Hours:
    """The weather with all stretches put in, one after the other."""
    for led in stretches:
        if led.since < hours.hours[-1] and hours.hours[0] < led.until:
            hours = _LEADING[led.what](hours, led.weight(hours.hours), led.shift_k)
    return hours


def _cold(hours: Hours, weight: Values, shift_k: float) -> Hours:
    return replace(
        hours,
        temperature_c=hours.temperature_c + weight * shift_k,
        dew_point_c=hours.dew_point_c + weight * shift_k,
        cloud=hours.cloud * (1.0 - weight),
        wind_m_s=hours.wind_m_s * (1.0 - (1.0 - _CALM) * weight),
    )


def _damp(hours: Hours, weight: Values, to_c: float) -> Hours:
    mild = np.maximum(hours.temperature_c, to_c) - hours.temperature_c
    temperature = hours.temperature_c + weight * mild
    return replace(
        hours,
        temperature_c=temperature,
        dew_point_c=hours.dew_point_c
        + weight * (temperature - _FOG_DEPRESSION_K - hours.dew_point_c),
        cloud=hours.cloud + weight * (1.0 - hours.cloud),
        wind_m_s=hours.wind_m_s * (1.0 - (1.0 - _CALM) * weight),
    )


def _hot(hours: Hours, weight: Values, shift_k: float) -> Hours:
    temperature = hours.temperature_c + weight * shift_k
    dew_point = hours.dew_point_c + _HEAT_MOISTENS * weight * shift_k
    return replace(
        hours,
        temperature_c=temperature,
        dew_point_c=np.minimum(dew_point, temperature - _FOG_DEPRESSION_K),
        cloud=hours.cloud + weight * (np.minimum(hours.cloud, _HEAT_CLOUD) - hours.cloud),
        wind_m_s=hours.wind_m_s,
    )


_LEADING = {What.COLD_NIGHT: _cold, What.DAMP_NIGHT: _damp, What.HEAT_WAVE: _hot}
