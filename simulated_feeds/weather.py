"""The air outdoors: season, time of day, slow swings, and fronts put in by the scenario. Pure.

Believable, not a climate model: yearly mean and swing are straight lines in latitude that
fit a maritime north-west of Europe (common knowledge, no source), nothing more.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from simulated_feeds.scenario import Scenario
from simulated_feeds.seeded import stream_of, uniform

_DAY_S = 86400.0
_COLD_NIGHT_C = 0.5
_COLD_DEW_POINT_C = -4.5
_DAMP_NIGHT_C = 12.0
_CALM_WARMEST_MEAN_C = 13.0
_CALM_COLDEST_MEAN_C = 4.0
# Days after which each slow swing repeats; none divides another.
_SWING_DAYS = (2.9, 4.7, 8.3)


@dataclass(frozen=True, slots=True)
class Outdoors:
    """Temperature and dew point [°C]; ``cloud`` from 0 (clear) to 1 (covered)."""

    temperature_c: float
    dew_point_c: float
    cloud: float


@dataclass(frozen=True, slots=True)
class _Spell:
    """Weight 0 before ``since``, 1 from ``full_from`` to ``full_until``, 0 after ``until``."""

    since: float
    full_from: float
    full_until: float
    until: float

    def weight(self, at: float) -> float:
        if not self.since < at < self.until:
            return 0.0
        rise = min(1.0, (at - self.since) / (self.full_from - self.since))
        fall = min(1.0, (self.until - at) / (self.until - self.full_until))
        share = min(rise, fall)
        return share * share * (3.0 - 2.0 * share)


def weather(scenario: Scenario) -> Callable[[datetime], Outdoors]:
    """The air outdoors at any instant [UTC] of a scenario.

    A cold night ends near 0.5 °C and a damp one is foggy at 12 °C or more, whatever the
    season; around the present it is neither hot nor frosty.
    """
    phases = [
        2 * math.pi * uniform(scenario.seed, stream_of("weather"), index) for index in range(6)
    ]
    cold, damp, calm = _cold_spells(scenario), _damp_spells(scenario), _calm_spell(scenario)

    def at(instant: datetime) -> Outdoors:
        now = instant.timestamp()
        swings = [
            math.sin(2 * math.pi * now / _DAY_S / days + phase)
            for days, phase in zip(_SWING_DAYS * 2, phases, strict=True)
        ]
        cloud = 0.5 + 0.15 * sum(swings[3:])
        mean = _season_c(instant, scenario.latitude) + 0.9 * sum(swings[:3])
        calmness = calm.weight(now)
        mild = min(_CALM_WARMEST_MEAN_C, max(_CALM_COLDEST_MEAN_C, mean))
        mean += calmness * (mild - mean)
        temperature = mean + _time_of_day_c(instant, scenario, cloud)
        # Summer air is further from its dew point than winter air.
        dew_point = mean - 3.2 - 0.36 * max(0.0, mean - 5.0) - 0.6 * swings[0]

        chill = max((spell.weight(now) for spell in cold), default=0.0)
        temperature += chill * (min(temperature, _COLD_NIGHT_C) - temperature)
        dew_point += chill * (min(dew_point, _COLD_DEW_POINT_C) - dew_point)
        cloud *= 1.0 - chill

        fog = max((spell.weight(now) for spell in damp), default=0.0)
        temperature += fog * (max(mean, _DAMP_NIGHT_C) - temperature)
        dew_point += fog * (temperature - 0.2 - dew_point)
        cloud += fog * (1.0 - cloud)
        return Outdoors(temperature, min(dew_point, temperature - 0.2), cloud)

    return at


def _season_c(instant: datetime, latitude: float) -> float:
    """The usual mean of the day [°C]; coldest about 20 January in the north."""
    yearly = 27.0 - 0.32 * abs(latitude)
    swing = 0.135 * abs(latitude) * math.copysign(1.0, latitude)
    day = instant.timetuple().tm_yday + instant.hour / 24 + instant.minute / 1440
    return yearly - swing * math.cos(2 * math.pi * (day - 20) / 365.25)


def _time_of_day_c(instant: datetime, scenario: Scenario, cloud: float) -> float:
    """Warmest three hours after the sun's noon; less under cloud."""
    hours = instant.hour + instant.minute / 60 + scenario.longitude / 15
    return (3.6 - 2.2 * cloud) * math.cos(2 * math.pi * (hours - 15.0) / 24)


def _night(scenario: Scenario, nights_ago: int, hours: tuple[float, float, float, float]) -> _Spell:
    """A spell in hours after the local noon before the night."""
    noon = scenario.local(scenario.evening - timedelta(days=nights_ago), time(12)).timestamp()
    since, full_from, full_until, until = (noon + 3600 * hour for hour in hours)
    return _Spell(since, full_from, full_until, until)


def _cold_spells(scenario: Scenario) -> list[_Spell]:
    spells = []
    if scenario.cold_nights_ago is not None:
        spells.append(_night(scenario, scenario.cold_nights_ago, (2.0, 10.0, 19.0, 26.0)))
    if scenario.cold_tonight:
        spells.append(_night(scenario, 0, (1.0, 7.0, 19.0, 26.0)))
    return spells


def _damp_spells(scenario: Scenario) -> list[_Spell]:
    if scenario.damp_nights_ago is None:
        return []
    return [_night(scenario, scenario.damp_nights_ago, (3.0, 9.0, 18.0, 24.0))]


def _calm_spell(scenario: Scenario) -> _Spell:
    """From the evening before the present day for three days."""
    return _night(scenario, 1, (-2.0, 6.0, 84.0, 108.0))
