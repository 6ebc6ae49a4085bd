"""The configuration file that fits a simulated shed."""

from datetime import time, timedelta

from simulated_feeds.nest_story import places
from simulated_feeds.nest_values import Place
from simulated_feeds.scenario import Scenario
from simulated_feeds.sensors import SENSORS, SimulatedSensor

NIGHT_LX = 20

_HEAD = """\
# A simulated shed: scenario "{name}", seed {seed}.

[shed]
id = "hazel"
name = "Hazel shed"
latitude = {latitude}
longitude = {longitude}
timezone = "{timezone}"

[broker]
url = "mqtt://{broker_host}:{broker_port}"

[light]
on = "{on}"
off = "{off}"
dim = "{dim}"
threshold_lx = {night_lx}

[pages]
bind = "127.0.0.1"
port = {pages_port}

[[feed]]
topic = "clutchweather/+/senml"
format = "senml"
"""

# Setpoints are common practice, no source; cold and damp are the scenario's.
_LIMITS = """
[[limit]]
id = "cold-night"
place = "shed"
quantity = "temperature"
when = "night"
low = {cold}
deadband = 0.5
on_delay = "10 min"
off_delay = "15 min"
priority = "high"

[[limit]]
id = "hot"
place = "shed"
quantity = "temperature"
when = "always"
high = 28.0
deadband = 0.5
on_delay = "10 min"
off_delay = "15 min"
priority = "high"

[[limit]]
id = "damp"
place = "shed"
quantity = "relative_humidity"
when = "always"
high = {damp}
deadband = 3.0
on_delay = "30 min"
off_delay = "30 min"
priority = "medium"

[[limit]]
id = "dry"
place = "shed"
quantity = "relative_humidity"
when = "always"
low = 30.0
deadband = 3.0
on_delay = "60 min"
off_delay = "30 min"
priority = "medium"
"""


def config_toml(
    scenario: Scenario,
    *,
    broker_host: str = "127.0.0.1",
    broker_port: int = 1883,
    pages_port: int = 8460,
) -> str:
    """The text of a ``clutchweather.toml`` with the scenario's places, sensors and limits."""
    head = _HEAD.format(
        name=scenario.name,
        seed=scenario.seed,
        latitude=scenario.latitude,
        longitude=scenario.longitude,
        timezone=scenario.timezone,
        broker_host=broker_host,
        broker_port=broker_port,
        on=_clock(scenario.lamps.on),
        off=_clock(scenario.lamps.off),
        dim=f"{scenario.lamps.dim // timedelta(minutes=1)} min",
        night_lx=NIGHT_LX,
        pages_port=pages_port,
    )
    limits = _LIMITS.format(cold=scenario.cold_limit_c, damp=scenario.damp_limit_pct)
    tables = [_place(place) for place in places()] + [_sensor(sensor) for sensor in SENSORS]
    return "\n".join([head, *tables]) + limits


def _clock(at: time) -> str:
    return at.isoformat("minutes")


def _place(place: Place) -> str:
    within = "" if place.within is None else f'in = "{place.within}"\n'
    return (
        f'[[place]]\nid = "{place.id}"\nkind = "{place.kind}"\nname = "{place.name}"\n'
        f"{within}order = {place.order}\n"
    )


def _sensor(sensor: SimulatedSensor) -> str:
    light = ', light = "illuminance"' if sensor.sees_light else ""
    return (
        f'[[sensor]]\ndevice = "{sensor.device}"\nplace = "{sensor.place}"\n'
        f'interval = "{sensor.interval // timedelta(seconds=1)} s"\n'
        f'measures = {{ humidity = "relative_humidity"{light} }}\n'
    )
