"""What is to happen in the simulated shed, and around which present."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

PAST = timedelta(days=21)

SHED_SENSOR = "th-shed"
OUTDOOR_SENSOR = "th-outdoors"
BOXES_WITH_SENSOR = ("box-2", "box-4")


def box_sensor(box: str) -> str:
    """The name of the sensor in a box."""
    return f"th-{box}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamps:
    """The lamps' programme in local time: brighten from ``on``, full after ``dim``.

    They begin to dim ``dim`` before ``off`` and are dark at ``off``.
    """

    on: time = time(6, 30)
    off: time = time(20, 30)
    dim: timedelta = timedelta(minutes=30)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenario:
    """All that the simulated shed depends on: equal scenarios give equal bytes.

    ``origin`` is the present [UTC, whole minutes]; readings exist from ``PAST`` before it.
    ``cold_nights_ago`` and ``damp_nights_ago`` count evenings back from ``evening``; None
    leaves that night out. ``cold_tonight`` brings a cold front with the coming night.
    ``silent_device`` is a sensor that says nothing from ``origin`` on.
    """

    name: str
    seed: int
    origin: datetime
    latitude: float = 53.2
    longitude: float = 6.6
    timezone: str = "Europe/Amsterdam"
    lamps: Lamps = Lamps()
    cold_limit_c: float = 5.0
    damp_limit_pct: float = 80.0
    cold_nights_ago: int | None = 6
    damp_nights_ago: int | None = 3
    cold_tonight: bool = False
    silent_device: str | None = None

    def __post_init__(self) -> None:
        if self.origin.tzinfo is not UTC or self.origin.second or self.origin.microsecond:
            raise ValueError(f"{self.origin} is not a whole minute in UTC")

    @property
    def start(self) -> datetime:
        """The first instant of the feed."""
        return self.origin - PAST

    @property
    def zone(self) -> ZoneInfo:
        """Where the shed's clock on the wall is set."""
        return ZoneInfo(self.timezone)

    @property
    def evening(self) -> date:
        """The local date on whose evening the present night began, or the last one did.

        From noon on it is the date itself: nights are named after their evening.
        """
        return (self.origin.astimezone(self.zone) - timedelta(hours=12)).date()

    def local(self, day: date, at: time) -> datetime:
        """A local time as an instant [UTC]."""
        return datetime.combine(day, at, self.zone).astimezone(UTC)
