"""A shed in a temporary folder with real stores, for tests of the walks."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from devices.formats.senml import pack
from devices.message import Message
from service.alarms.alarm import Alarm
from service.reading_path import ReadingPath
from service.settings.load import load_settings
from service.settings.settings import Settings
from service.wiring import Stores, open_stores, reading_path

EVENING = datetime(2026, 3, 1, 21, 0, tzinfo=UTC)
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
[[place]]
id = "box-1"
kind = "box"
in = "shed"

[[sensor]]
device = "th-shed"
place = "shed"
interval = "60 s"
[[sensor]]
device = "th-box"
place = "box-1"
interval = "60 s"

[light]
on = "06:30"
off = "20:30"

[[limit]]
id = "cold-night"
place = "shed"
quantity = "temperature"
when = "night"
low = 5.0
deadband = 0.5
on_delay = "10 min"
off_delay = "15 min"
priority = "high"
"""


def load(data: Path, configuration: str = CONFIGURATION) -> Settings:
    """Settings from a file written into the data folder."""
    data.mkdir(parents=True, exist_ok=True)
    (data / "clutchweather.toml").write_text(configuration)
    return load_settings(None, data)


class Shed:
    """Both stores and the walk of a reading over them; can be started anew at will."""

    def __init__(self, data: Path, configuration: str = CONFIGURATION) -> None:
        self.data = data
        self.settings = load(data, configuration)
        self.stores: Stores = open_stores(self.settings, data, writer=True)
        self.path: ReadingPath = reading_path(self.settings, self.stores)

    def restart(self, now: datetime) -> None:
        """As after a crash: nothing remembered but what is stored."""
        self.stores.close()
        self.stores = open_stores(self.settings, self.data, writer=True)
        self.path = reading_path(self.settings, self.stores)
        self.path.restore(now)

    def walk(self, *messages: Message) -> int:
        new = self.path.walk(messages, stored=lambda: None)
        self.path.save_alarms()
        return new

    def tick(self, now: datetime) -> None:
        self.path.tick(now)
        self.path.save_alarms()

    def alarms(self, rule: str | None = None) -> Sequence[Alarm]:
        """All alarms that are stored, newest first."""
        kept = self.stores.records.alarms.alarms(None, None)
        return [alarm for alarm in kept if rule is None or alarm.rule == rule]


@contextmanager
def shed_in(data: Path, configuration: str = CONFIGURATION) -> Iterator[Shed]:
    """A shed that has begun to watch at EVENING."""
    shed = Shed(data, configuration)
    shed.path.restore(EVENING)
    try:
        yield shed
    finally:
        shed.stores.close()


def said(
    celsius: float,
    at: datetime,
    *,
    device: str = "th-shed",
    received_at: datetime | None = None,
    retained: bool = False,
) -> Message:
    """A temperature as a sensor sends it, with its own time."""
    return Message(
        topic=f"clutchweather/{device}/senml",
        payload=pack(device, {"temperature": (celsius, "Cel")}, at),
        received_at=received_at or at,
        retained=retained,
    )


def minutes(celsius: float, since: int, until: int, *, device: str = "th-shed") -> list[Message]:
    """One reading a minute, from ``since`` to ``until`` minutes after EVENING."""
    return [said(celsius, EVENING + n * MINUTE, device=device) for n in range(since, until)]
