"""The air in the simulated shed, minute by minute: one heat store, one store of vapour.

A wooden shed of 30 m³ with a small heater on a thermostat, lamps, birds, open water, a vent
that opens when it is warm, and a hen in some boxes. Sizes are guesses of a small insulated
shed (no source); the birds' heat has one.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from simulated_feeds.light import illuminance_lx, lamp_share
from simulated_feeds.moist_air import humidity_pct, saturation_hpa
from simulated_feeds.nest_story import sitting_since
from simulated_feeds.scenario import BOXES_WITH_SENSOR, Scenario
from simulated_feeds.seeded import stream_of, uniform
from simulated_feeds.sun import sine_of_elevation
from simulated_feeds.weather import Outdoors, weather

STEP = timedelta(minutes=1)
_STEP_S = STEP.total_seconds()
_SETTLE = timedelta(days=2)

_LOSS_W_PER_K = 22.0
_VENT_W_PER_K = 90.0
_HEAT_STORE_J_PER_K = 22.0 * 5.0 * 3600
_LAMPS_W = 90.0
_SUN_W = 250.0
_HEATER_W = 500.0
_HEATER_OFF_C, _HEATER_FULL_C = 13.5, 8.5
_VENT_OPENS_C, _VENT_OPEN_C = 16.5, 19.5

_AIR_CHANGES_PER_H = 0.6
_VENT_CHANGES_PER_H = 5.0
# Wood, bedding and seed take up and give back vapour: the air follows that much slower.
_VAPOUR_STORE = 3.0
_MOISTURE_HPA_PER_H = 0.45

_BIRDS = 26
# Oxygen use of resting budgerigars, 5.65 - 0.127 T ml/(g h) below 29 °C, 31 g a bird:
# Weathers, W. W. and Schoenbaechler, D. C. (1976), Aust. J. Zool. 24, 39-47 (volume and
# pages from memory). One ml of oxygen is about 20.1 J (from memory).
_OXYGEN_J_PER_ML = 20.1
_BIRD_G = 31.0

_HEN_WARMS_K = 6.0
_HEN_DAMPS_HPA = 6.0
_BOX_FOLLOWS_S = 1500.0


@dataclass(frozen=True, slots=True)
class Air:
    """Temperature [°C] and vapour pressure [hPa]."""

    temperature_c: float
    vapour_hpa: float

    @property
    def humidity_pct(self) -> float:
        """Relative humidity [%], 0 to 100."""
        return humidity_pct(self.temperature_c, self.vapour_hpa)


@dataclass(frozen=True, slots=True)
class Truth:
    """What is the case at an instant [UTC], as no sensor knows it. Light in lx."""

    at: datetime
    outdoors: Air
    shed: Air
    light_lx: float
    boxes: Mapping[str, Air]


def truths(scenario: Scenario) -> Iterator[Truth]:
    """One truth a minute from the scenario's start on, without end."""
    sky = weather(scenario)
    heater_fails = _heater_failures(scenario)
    zone = scenario.zone
    at = scenario.start - _SETTLE
    temperature, vapour = 12.0, saturation_hpa(sky(at).dew_point_c) + 0.7
    warmth = dict.fromkeys(BOXES_WITH_SENSOR, 0.0)
    hens = {box: _hen(scenario, box) for box in BOXES_WITH_SENSOR}
    while True:
        outdoors = sky(at)
        lit = lamp_share(at.astimezone(zone), scenario.lamps)
        height = sine_of_elevation(at, scenario.latitude, scenario.longitude)
        if at >= scenario.start:
            shed = Air(temperature, vapour)
            light = illuminance_lx(lit, height, outdoors.cloud)
            yield Truth(at, _outdoor_air(outdoors), shed, light, _boxes(shed, warmth))
        opened = _vent_share(temperature)
        gain_w = _gain_w(temperature, outdoors.cloud, lit, height)
        if not any(since <= at < until for since, until in heater_fails):
            gain_w += _heater_w(temperature)
        vapour = _next_vapour(temperature, vapour, outdoors, opened)
        temperature += _warming_k(temperature, outdoors, opened, gain_w)
        for box, sits in hens.items():
            warmth[box] += (sits(at, lit) - warmth[box]) * _STEP_S / _BOX_FOLLOWS_S
        at += STEP


def _outdoor_air(outdoors: Outdoors) -> Air:
    return Air(outdoors.temperature_c, saturation_hpa(outdoors.dew_point_c))


def _vent_share(temperature_c: float) -> float:
    share = (temperature_c - _VENT_OPENS_C) / (_VENT_OPEN_C - _VENT_OPENS_C)
    return min(1.0, max(0.0, share))


def _next_vapour(
    temperature_c: float, vapour_hpa: float, outdoors: Outdoors, opened: float
) -> float:
    changes = _AIR_CHANGES_PER_H + opened * _VENT_CHANGES_PER_H
    gain = changes * (saturation_hpa(outdoors.dew_point_c) - vapour_hpa) + _MOISTURE_HPA_PER_H
    # What the air cannot hold runs down the walls.
    most = 0.985 * saturation_hpa(temperature_c)
    return min(most, vapour_hpa + gain / _VAPOUR_STORE * _STEP_S / 3600)


def _gain_w(temperature_c: float, cloud: float, lit: float, height: float) -> float:
    """Heat from birds, lamps and sun [W]."""
    sun = _SUN_W * max(0.0, height) * (1.0 - 0.75 * cloud)
    birds = _BIRDS * _BIRD_G * max(1.9, 5.65 - 0.127 * temperature_c) * _OXYGEN_J_PER_ML / 3600
    return birds + lit * _LAMPS_W + sun


def _warming_k(temperature_c: float, outdoors: Outdoors, opened: float, gain_w: float) -> float:
    """How much warmer the shed becomes within one step [K]."""
    loss_w = (_LOSS_W_PER_K + opened * _VENT_W_PER_K) * (temperature_c - outdoors.temperature_c)
    return (gain_w - loss_w) * _STEP_S / _HEAT_STORE_J_PER_K


def _heater_w(temperature_c: float) -> float:
    share = (_HEATER_OFF_C - temperature_c) / (_HEATER_OFF_C - _HEATER_FULL_C)
    return _HEATER_W * min(1.0, max(0.0, share))


def _heater_failures(scenario: Scenario) -> list[tuple[datetime, datetime]]:
    """On a cold night the heater's breaker trips at noon; the keeper finds it next morning."""
    nights = [] if scenario.cold_nights_ago is None else [scenario.cold_nights_ago]
    if scenario.cold_tonight:
        nights.append(0)
    noons = [scenario.local(scenario.evening - timedelta(days=n), time(12)) for n in nights]
    return [(noon, noon + timedelta(hours=19.5)) for noon in noons]


def _hen(scenario: Scenario, box: str) -> Callable[[datetime, float], float]:
    """Whether the hen sits: 0 or 1. By lamp light she leaves now and then for a quarter hour."""
    since = sitting_since(scenario, box)
    stream = stream_of(box)

    def sits(at: datetime, lit: float) -> float:
        if since is None or at < since:
            return 0.0
        away = lit > 0 and uniform(scenario.seed, stream, int(at.timestamp()) // 900) < 0.07
        return 0.0 if away else 1.0

    return sits


def _boxes(shed: Air, warmth: Mapping[str, float]) -> dict[str, Air]:
    return {box: _box_air(shed, share) for box, share in warmth.items()}


def _box_air(shed: Air, share: float) -> Air:
    temperature = shed.temperature_c + share * _HEN_WARMS_K
    vapour = shed.vapour_hpa + share * _HEN_DAMPS_HPA
    return Air(temperature, min(vapour, 0.985 * saturation_hpa(temperature)))
