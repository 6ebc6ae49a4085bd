"""Whether it is night now: a fold over the readings of a light sensor.

It is night once it has been dark for ``plan.dark_for``, counted from the first dark reading;
it is day again once it has been bright as long. While the sensor is silent the lamps'
schedule tells, without lamps the sun, and without either nobody. Pure.
"""

import math
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from typing import Literal

from service.climate.daylight import sun_is_down
from service.climate.light_plan import LampSchedule, LightPlan

Bounds = Literal["measured", "schedule", "sun"]
"""What told night from day."""

LONGEST_GAP = timedelta(hours=1)
"""After a longer silence a light sensor is followed anew, where nothing else is said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LightTrack:
    """What one light sensor has shown so far; as made, nothing.

    ``is_night`` holds since ``since``, the first reading of the run that made it sure; it is
    None until a run was long enough. ``was_night`` held before, None where that is unknown.
    ``dark`` is what the newest reading (``last_at``) said, and all since ``run_since``.
    """

    is_night: bool | None = None
    since: datetime | None = None
    was_night: bool | None = None
    last_at: datetime | None = None
    dark: bool | None = None
    run_since: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Light:
    """``is_night`` is None, and ``bounds`` too, where nobody can tell."""

    is_night: bool | None
    bounds: Bounds | None


def follow_light(
    track: LightTrack,
    measured_at: datetime,
    lux: float,
    plan: LightPlan,
    *,
    max_gap: timedelta = LONGEST_GAP,
) -> LightTrack:
    """The track after one more usable reading [lx].

    A reading that is no newer than the last, or no number, changes nothing. After a gap
    longer than ``max_gap`` nothing is sure until a run is long enough again.
    """
    if not math.isfinite(lux) or (track.last_at is not None and measured_at <= track.last_at):
        return track
    if track.last_at is None or measured_at - track.last_at > max_gap:
        track = LightTrack()
    dark = lux < plan.threshold_lx
    run_since = track.run_since if dark is track.dark and track.run_since else measured_at
    track = replace(track, last_at=measured_at, dark=dark, run_since=run_since)
    if track.is_night is not dark and measured_at - run_since >= plan.dark_for:
        track = replace(track, is_night=dark, since=run_since, was_night=track.is_night)
    return track


def light_at(at: datetime, track: LightTrack, plan: LightPlan, *, sensor_silent: bool) -> Light:
    """Whether it is night at ``at``, and what tells so.

    ``at`` may lie a little back, before the change that the track saw last; not further.
    """
    earlier = track.since is not None and at < track.since
    measured = track.was_night if earlier else track.is_night
    if not sensor_silent and measured is not None:
        return Light(is_night=measured, bounds="measured")
    local = at.astimezone(plan.site.timezone)
    schedule = plan.schedule_on(local.date())
    if schedule is not None:
        return Light(is_night=not _lit(schedule, local.time()), bounds="schedule")
    down = sun_is_down(plan.site, at)
    return Light(is_night=down, bounds=None if down is None else "sun")


def _lit(schedule: LampSchedule, local: time) -> bool:
    """Whether the lamps are meant to burn; they may burn across midnight."""
    if schedule.on <= schedule.off:
        return schedule.on <= local < schedule.off
    return local >= schedule.on or local < schedule.off
