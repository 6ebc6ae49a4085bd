"""A shed with everything that the rules on readings go by, and what its sensors send."""

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from devices.formats.senml import pack
from devices.message import Message
from tests.service.shed_in_a_folder import Shed

ZONE = ZoneInfo("Europe/Amsterdam")
MINUTE = timedelta(minutes=1)

CONFIGURATION = """
[shed]
id = "hazel"
latitude = 53.2
longitude = 6.6
timezone = "Europe/Amsterdam"

[[place]]
id = "shed"
kind = "shed"
name = "Hazel"
[[place]]
id = "outdoors"
kind = "outdoors"
[[place]]
id = "pane"
kind = "surface"
in = "shed"

[[feed]]
topic = "clutchweather/+/senml"
format = "senml"

[[sensor]]
device = "th-shed"
place = "shed"
interval = "60 s"
[[sensor]]
device = "th-out"
place = "outdoors"
interval = "60 s"
[[sensor]]
device = "t-pane"
place = "pane"
interval = "60 s"
[[sensor]]
device = "mains-eye"
place = "shed"
interval = "60 s"

[light]
on = "06:30"
off = "20:30"
dim = "30 min"
threshold_lx = 20

[surface]
temperature_factor = 0.3

[heater]
thermostat_c = 5.0

[[limit]]
id = "far-off"
place = "shed"
quantity = "temperature"
low = -40.0
"""

_UNITS = {
    "temperature": "Cel",
    "relative_humidity": "%RH",
    "illuminance": "lx",
    "battery": "%EL",
    "mains": "/",
}


def local(hour: int, minute: int = 0, day: int = 3) -> datetime:
    """A time of day in February 2026, by the shed's clock."""
    return datetime(2026, 2, day, hour, minute, tzinfo=ZONE).astimezone(UTC)


def told(at: datetime, *, device: str = "th-shed", **values: float) -> Message:
    """What a device sends at a time, by quantity."""
    return told_late(at, at, device=device, **values)


def told_late(
    at: datetime, received_at: datetime, *, device: str = "th-shed", **values: float
) -> Message:
    """The same, as it comes only later."""
    measured = {quantity: (value, _UNITS[quantity]) for quantity, value in values.items()}
    return Message(
        topic=f"clutchweather/{device}/senml",
        payload=pack(device, measured, at),
        received_at=received_at,
    )


def every_minute(
    since: datetime, minutes: int, *, device: str = "th-shed", **values: float
) -> Iterator[Message]:
    """The same values, minute by minute."""
    for n in range(minutes):
        yield told(since + n * MINUTE, device=device, **values)


def by_time(*streams: Iterable[Message]) -> list[Message]:
    """Several devices, as their messages come."""
    return sorted((one for each in streams for one in each), key=lambda one: one.received_at)


def rules_told(shed: Shed) -> list[str]:
    """The rules of all alarms but those of silence: most sensors here say nothing."""
    return [alarm.rule for alarm in shed.alarms() if not alarm.rule.startswith("overdue")]
