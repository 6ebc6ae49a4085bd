"""Where the shed stands and when its lamps are meant to burn."""

from dataclasses import dataclass
from datetime import date, time, timedelta
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
class LightStep:
    """One step of a programme: from the morning of ``since`` (a local date) on this holds."""

    since: date
    schedule: LampSchedule


@dataclass(frozen=True, slots=True, kw_only=True)
class LightPlan:
    """All that tells night from day.

    ``schedule`` is None in a shed without lamps. ``steps`` are those of a programme (days
    lengthened week by week, say), oldest first: each replaces ``schedule`` from its date on.
    """

    site: Site
    schedule: LampSchedule | None = None
    steps: tuple[LightStep, ...] = ()
    threshold_lx: float = 20.0
    dark_for: timedelta = timedelta(minutes=10)

    def schedule_on(self, day: date) -> LampSchedule | None:
        """When the lamps are meant to burn on a local date; None without lamps."""
        begun = [step.schedule for step in self.steps if step.since <= day]
        return begun[-1] if begun else self.schedule
