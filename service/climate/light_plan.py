"""Where the shed stands and when its lamps are meant to burn."""

from dataclasses import dataclass
from datetime import time, timedelta
from zoneinfo import ZoneInfo


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Latitude and longitude in degrees, north and east positive; None when not told."""

    timezone: ZoneInfo
    latitude: float | None = None
    longitude: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LampSchedule:
    """Lamps brighten from ``on`` (full after ``dim``) and are dark at ``off``; local times."""

    on: time
    off: time
    dim: timedelta = timedelta(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class LightPlan:
    """All that tells night from day. ``schedule`` is None in a shed without lamps."""

    site: Site
    schedule: LampSchedule | None = None
    threshold_lx: float = 20.0
    dark_for: timedelta = timedelta(minutes=10)
