"""What the simulated sensors say of the truth: offset, noise, steps, and their SenML packs."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from simulated_feeds.scenario import (
    BOXES_WITH_SENSOR,
    OUTDOOR_SENSOR,
    SHED_SENSOR,
    Scenario,
    box_sensor,
)
from simulated_feeds.seeded import bell, stream_of, uniform
from simulated_feeds.shed import Air, Truth

BATTERY_EVERY = 60
_TEMPERATURE_NOISE_K, _TEMPERATURE_OFFSET_K = 0.03, 0.08
_HUMIDITY_NOISE_PCT, _HUMIDITY_OFFSET_PCT = 0.25, 0.8
_LIGHT_NOISE = 0.015
_BATTERY_PCT_PER_DAY = 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedSensor:
    """A sender: where it hangs, how often it speaks, ``offset_s`` after each full minute.

    ``air`` picks its air out of the truth; ``sees_light`` adds illuminance.
    """

    device: str
    place: str
    interval: timedelta
    offset_s: int
    air: Callable[[Truth], Air]
    sees_light: bool = False

    @property
    def topic(self) -> str:
        """Where its packs go."""
        return f"clutchweather/{self.device}/senml"

    @property
    def status_topic(self) -> str:
        """Where its retained sign of life goes."""
        return f"clutchweather/{self.device}/status"


def _box_air(box: str) -> Callable[[Truth], Air]:
    return lambda truth: truth.boxes[box]


SENSORS = (
    SimulatedSensor(
        device=SHED_SENSOR,
        place="shed",
        interval=timedelta(seconds=60),
        offset_s=7,
        air=lambda truth: truth.shed,
        sees_light=True,
    ),
    SimulatedSensor(
        device=OUTDOOR_SENSOR,
        place="outdoors",
        interval=timedelta(seconds=120),
        offset_s=23,
        air=lambda truth: truth.outdoors,
    ),
    *(
        SimulatedSensor(
            device=box_sensor(box),
            place=box,
            interval=timedelta(seconds=120),
            offset_s=31 + 13 * order,
            air=_box_air(box),
        )
        for order, box in enumerate(BOXES_WITH_SENSOR)
    ),
)


def boot_of(scenario: Scenario, sensor: SimulatedSensor) -> str:
    """Names the run of a device since it was switched on: it never restarts here."""
    return f"{stream_of(f'{scenario.seed}:{sensor.device}:{scenario.start.isoformat()}'):08x}"


def packer(scenario: Scenario, sensor: SimulatedSensor) -> Callable[[Truth, datetime, int], bytes]:
    """Makes the SenML pack (RFC 8428) of one sensor from truth, time and running number."""
    seed, stream = scenario.seed, stream_of(sensor.device)
    warm = _TEMPERATURE_OFFSET_K * (2 * uniform(seed, stream, -1) - 1)
    damp = _HUMIDITY_OFFSET_PCT * (2 * uniform(seed, stream, -2) - 1)
    boot = boot_of(scenario, sensor)
    head = f'[{{"bn":"{sensor.device}:","bt":'

    def pack(truth: Truth, at: datetime, number: int) -> bytes:
        air = sensor.air(truth)
        draw = 4 * number
        temperature = air.temperature_c + warm + _TEMPERATURE_NOISE_K * bell(seed, stream, draw)
        humidity = air.humidity_pct + damp + _HUMIDITY_NOISE_PCT * bell(seed, stream, draw + 1)
        shown = round(min(100.0, max(0.0, humidity)), 1)
        text = (
            f'{head}{int(at.timestamp())},"n":"temperature","u":"Cel","v":{temperature:.2f}}},'
            f'{{"n":"humidity","u":"%RH","v":{shown}}},'
        )
        if sensor.sees_light:
            light = truth.light_lx * (1.0 + _LIGHT_NOISE * bell(seed, stream, draw + 2))
            text += f'{{"n":"light","u":"lx","v":{round(light)}}},'
        if number % BATTERY_EVERY == 0:
            text += f'{{"n":"battery","u":"%EL","v":{_battery_pct(sensor, number)}}},'
        return f'{text}{{"n":"seq","v":{number}}},{{"n":"boot","vs":"{boot}"}}]'.encode()

    return pack


def _battery_pct(sensor: SimulatedSensor, number: int) -> int:
    days = number * sensor.interval / timedelta(days=1)
    return max(5, round(96 - _BATTERY_PCT_PER_DAY * days))
