"""Cold fronts: milder, cloudier and damper air before one, a fall within two hours, showers of
wind, then colder, drier air under a clearing sky. Pure but for its own stream of chance.

The shape is common knowledge without a source; what lies before and behind a front is alike in
size and length, so that fronts leave the mean as it is.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np

from simulated_feeds.chance import draws
from simulated_feeds.outdoors.parameters import WeatherParameters
from simulated_feeds.outdoors.sunshine import Values

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
# What is further away is less than a hundredth.
_REACH_DAYS = 4
_REACH_H = 24.0 * _REACH_DAYS
_MEMORY_H = 18.0
_PASSES_IN_H = 1.5
_NEAR_H = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fronts:
    """What fronts add, hour by hour: ``warmth`` [K], ``cloud`` (share), ``gusts`` (share)."""

    warmth_k: Values
    cloud: Values
    gusts: Values


def fronts(parameters: WeatherParameters, seed: int, hours: Values) -> Fronts:
    """What all fronts within some days add at hours since 1970-01-01 UTC, in time order."""
    warmth, cloud, gusts = (np.zeros(len(hours)) for _ in range(3))
    first = int(hours[0] // 24) - _REACH_DAYS
    last = int(hours[-1] // 24) + _REACH_DAYS
    for day in range(first, last + 1):
        strength, passes_at = _front(parameters, seed, day)
        if strength == 0.0:
            continue
        near = slice(*np.searchsorted(hours, (passes_at - _REACH_H, passes_at + _REACH_H)))
        since = hours[near] - passes_at
        sudden = np.tanh(since / _PASSES_IN_H) * np.exp(-abs(since) / _MEMORY_H)
        warmth[near] -= 0.5 * strength * parameters.front_k * sudden
        cloud[near] += 0.6 * np.exp(-(((since + 2.0) / _NEAR_H) ** 2))
        cloud[near] -= 0.35 * np.exp(-(((since - 10.0) / (2 * _NEAR_H)) ** 2))
        gusts[near] += 0.6 * strength * np.exp(-((since / _NEAR_H) ** 2))
    return Fronts(warmth_k=warmth, cloud=cloud, gusts=gusts)


def _front(parameters: WeatherParameters, seed: int, day: int) -> tuple[float, float]:
    """Strength of the day's front (about 1; 0 without one), and its hour since 1970."""
    chance = draws(seed, "fronts", _EPOCH + timedelta(days=day))
    comes, hour, strength = chance.random(3)
    if comes >= parameters.fronts_per_week / 7.0:
        return 0.0, 0.0
    return 0.4 + 1.2 * float(strength), 24.0 * (day + float(hour))
