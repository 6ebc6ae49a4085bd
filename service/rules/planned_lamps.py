"""Whether the lamps are meant to burn at full now, or it is meant to be dark. Pure."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum

from service.climate.light_expected import Window, day_bounds, expected_around, planned_light
from service.climate.light_plan import LightPlan

_DAY = timedelta(days=1)
_NEVER = (datetime.max.replace(tzinfo=UTC), datetime.max.replace(tzinfo=UTC))

LATE = timedelta(minutes=15)
"""So much the lamps' clock may be out, and dusk be late, before light counts as light at night."""

LATE_WITHOUT_SUN = timedelta(hours=5)
"""The same where nobody told where the shed stands: the summer's light is early and late."""


class Meant(StrEnum):
    """What the plan says of an instant."""

    LIT = "lit"
    """The lamps are meant to burn at full."""
    DARK = "dark"
    """Neither lamps nor daylight are to be expected."""
    EITHER = "either"


@dataclass(frozen=True, slots=True, kw_only=True)
class Burning:
    """When lamps are meant to come on, to be full, and to be dark again."""

    on_at: datetime
    full_at: datetime
    off_at: datetime


@dataclass(frozen=True, slots=True)
class _Day:
    lit: tuple[Window, ...]
    light: tuple[Window, ...]

    def meant(self, at: datetime) -> Meant:
        if any(since <= at < until for since, until in self.lit):
            return Meant.LIT
        if any(since <= at < until for since, until in self.light):
            return Meant.EITHER
        return Meant.DARK

    def changes_after(self, at: datetime, bounds: Window) -> Window:
        """From when to when it means the same around an instant, within ``bounds``."""
        edges = [edge for window in (*self.lit, *self.light, bounds) for edge in window]
        return max(edge for edge in edges if edge <= at), min(edge for edge in edges if edge > at)


class PlannedLamps:
    """The plan of a shed with lamps, day by day. For one thread."""

    def __init__(self, plan: LightPlan) -> None:
        self._plan = plan
        sun_known = plan.site.latitude is not None and plan.site.longitude is not None
        self._late = LATE if sun_known else LATE_WITHOUT_SUN
        self._days: dict[date, _Day] = {}
        self._last: tuple[Window, Meant] = (_NEVER, Meant.EITHER)

    @property
    def has_lamps(self) -> bool:
        """Whether any are planned at all."""
        return self._plan.schedule is not None or bool(self._plan.steps)

    def meant(self, at: datetime) -> Meant:
        """What is meant to be at an instant."""
        (since, until), meant = self._last
        if since <= at < until:
            return meant
        day = self._day(at)
        meant = day.meant(at)
        local = at.astimezone(self._plan.site.timezone).date()
        self._last = day.changes_after(at, day_bounds(local, self._plan)), meant
        return meant

    def burning(self, at: datetime) -> Burning | None:
        """The burning that is going on by plan at an instant; None outside its time."""
        local = at.astimezone(self._plan.site.timezone).date()
        found = (self._of(day) for day in (local, local - _DAY))
        return next((one for one in found if one and one.on_at <= at < one.off_at), None)

    def _of(self, day: date) -> Burning | None:
        planned, schedule = planned_light(day, self._plan), self._plan.schedule_on(day)
        if planned is None or schedule is None:
            return None
        return Burning(
            on_at=planned.on_at, full_at=planned.on_at + schedule.dim, off_at=planned.off_at
        )

    def _day(self, at: datetime) -> _Day:
        local = at.astimezone(self._plan.site.timezone).date()
        known = self._days.get(local)
        if known is None:
            if len(self._days) > 8:
                self._days.clear()
            known = self._days[local] = self._made(local)
        return known

    def _made(self, local: date) -> _Day:
        planned = [self._of(day) for day in (local - _DAY, local)]
        # Lamps dim at their end as they brighten at their begin.
        lit = [(one.full_at, one.off_at - (one.full_at - one.on_at)) for one in planned if one]
        expected = expected_around(local, self._plan)
        light = [(since - self._late, until + self._late) for since, until in expected]
        return _Day(tuple(one for one in lit if one[0] < one[1]), tuple(light))
