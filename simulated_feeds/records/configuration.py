"""The configuration file that fits a simulated shed."""

import json
from collections.abc import Iterator, Mapping
from datetime import timedelta

from devices.sensor import Feed
from simulated_feeds.house import places
from simulated_feeds.keeper.story import Place
from simulated_feeds.records.witness import DARK_BELOW_LX
from simulated_feeds.scenario_files.scenario import Scenario
from simulated_feeds.senders.feeds import feeds_of, measures_of
from simulated_feeds.senders.parameters import Sender, Where

CONFIGURATION_FILE = "clutchweather.toml"

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
dim = "{dim} min"
threshold_lx = {dark_below_lx:g}

[pages]
bind = "127.0.0.1"
port = {pages_port}
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
    on, off = scenario.lamps.clock(scenario.site.date_of(scenario.start))
    head = _HEAD.format(
        name=scenario.name,
        seed=scenario.seed,
        latitude=scenario.site.latitude,
        longitude=scenario.site.longitude,
        timezone=scenario.site.timezone,
        broker_host=broker_host,
        broker_port=broker_port,
        on=on.isoformat("minutes"),
        off=off.isoformat("minutes"),
        dim=scenario.lamps.dim // timedelta(minutes=1),
        dark_below_lx=DARK_BELOW_LX,
        pages_port=pages_port,
    )
    tables = [_place(place) for place in _all_places(scenario)]
    tables += [_feed(feed) for feed in feeds_of(scenario.senders)]
    tables += [_sensor(sender) for sender in scenario.senders]
    tables += _light_steps(scenario)
    limits = scenario.limits
    tables.append(_surface(scenario))
    return "\n".join([head, *tables]) + _LIMITS.format(cold=limits.cold_c, damp=limits.damp_pct)


def _light_steps(scenario: Scenario) -> Iterator[str]:
    """Each day on which the lamps' times change, a year ahead of the present too."""
    day = scenario.site.date_of(scenario.start)
    last = scenario.site.date_of(scenario.origin) + timedelta(days=366)
    before = scenario.lamps.clock(day)
    while day < last and scenario.lamps.lengthen_from is not None:
        day += timedelta(days=1)
        on, off = lit = scenario.lamps.clock(day)
        if lit != before:
            yield (
                f'[[light_step]]\nfrom = {day}\non = "{on.isoformat("minutes")}"\n'
                f'off = "{off.isoformat("minutes")}"\n'
            )
        before = lit


def _text(told: str) -> str:
    """A basic string of TOML has the escapes of JSON."""
    return json.dumps(told, ensure_ascii=False)


def _all_places(scenario: Scenario) -> Iterator[Place]:
    yield from places()
    if any(sender.where is Where.SURFACE for sender in scenario.senders):
        yield Place(id="surface", kind="surface", name="Window pane", within="shed", order=4)


def _surface(scenario: Scenario) -> str:
    """How cold the coldest surface is, for as long as no sensor on it tells."""
    factor = 1.0 - scenario.building.surface_share
    return f"[surface]\ntemperature_factor = {factor:.3f}\n"


def _inline(told: Mapping[str, str]) -> str:
    return "{ " + ", ".join(f"{key} = {_text(value)}" for key, value in told.items()) + " }"


def _place(place: Place) -> str:
    within = "" if place.within is None else f"in = {_text(place.within)}\n"
    return (
        f"[[place]]\nid = {_text(place.id)}\nkind = {_text(place.kind)}\n"
        f"name = {_text(place.name)}\n{within}order = {place.order}\n"
    )


def _feed(feed: Feed) -> str:
    lines = ["[[feed]]", f"topic = {_text(feed.topic)}", f"format = {_text(feed.format.value)}"]
    if feed.device_level is not None:
        lines.append(f"device = {{ level = {feed.device_level} }}")
    if feed.device_pointer is not None:
        lines.append(f"device = {_inline({'pointer': feed.device_pointer})}")
    if feed.time_pointer is not None:
        lines.append(f"time = {_inline({'pointer': feed.time_pointer})}")
    if feed.fields:
        told = (
            _inline({"pointer": each.pointer, "quantity": each.quantity.value, "unit": each.unit})
            for each in feed.fields
        )
        lines.append(f"fields = [{', '.join(told)}]")
    if feed.quantity is not None:
        lines.append(f"quantity = {_text(feed.quantity.value)}")
    if feed.unit is not None:
        lines.append(f"unit = {_text(feed.unit)}")
    return "\n".join(lines) + "\n"


def _sensor(sender: Sender) -> str:
    measures = {name: quantity.value for name, quantity in measures_of(sender).items()}
    told = f"measures = {_inline(measures)}\n" if measures else ""
    interval = sender.message_interval / timedelta(seconds=1)
    return (
        f"[[sensor]]\ndevice = {_text(sender.device)}\nplace = {_text(sender.place)}\n"
        f'interval = "{interval:g} s"\n{told}'
    )
