"""Several sensors under one limit: breached if any is, clear only when all are. Pure.

For example two thermometers in one shed.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from service.rules.follow import Assessed
from service.rules.limit import Assessment


@dataclass(frozen=True, slots=True, kw_only=True)
class Combined:
    """What a limit says of its place.

    ``raised_at`` is the earliest of the sensors that are active, ``cleared_at`` is told only
    when this very look found the last of them clear. ``worst`` is the sensor to name: the
    longest active one, else the one that was heard last; None where there is no sensor.
    """

    assessment: Assessment
    active: bool
    raised_at: datetime | None
    cleared_at: datetime | None
    worst: Assessed | None


def combine(sensors: Sequence[Assessed], *, was_active: bool) -> Combined:
    """Take the assessments of all sensors that are set up for this place and quantity.

    ``was_active`` is what the last look said. An active limit stays active while a sensor
    can't tell, whoever raised it: silence clears nothing.
    """
    breached = [sensor for sensor in sensors if sensor.active]
    all_clear = bool(sensors) and all(_is_clear(sensor) for sensor in sensors)
    active = bool(breached) or (was_active and not all_clear)
    return Combined(
        assessment=_assessment(sensors),
        active=active,
        raised_at=_earliest(sensor.raised_at for sensor in breached),
        cleared_at=_last_clear(sensors) if was_active and not active else None,
        worst=_worst(breached) or _last_heard(sensors),
    )


def _assessment(sensors: Sequence[Assessed]) -> Assessment:
    if any(sensor.assessment is Assessment.BREACHED for sensor in sensors):
        return Assessment.BREACHED
    told = sensors and all(sensor.assessment is Assessment.CLEAR for sensor in sensors)
    return Assessment.CLEAR if told else Assessment.CANNOT_TELL


def _is_clear(sensor: Assessed) -> bool:
    """Clear, and no breach under way whose on-delay only has not passed yet."""
    return sensor.assessment is Assessment.CLEAR and sensor.breached_since is None


def _last_clear(sensors: Sequence[Assessed]) -> datetime | None:
    """When the last sensor was clear; one that was never active counts from its reading."""
    told = [sensor.cleared_at or sensor.as_of for sensor in sensors]
    return max((at for at in told if at is not None), default=None)


def _earliest(times: Iterable[datetime | None]) -> datetime | None:
    return min((at for at in times if at is not None), default=None)


def _worst(breached: Sequence[Assessed]) -> Assessed | None:
    return min(breached, key=lambda sensor: _moment(sensor.raised_at), default=None)


def _last_heard(sensors: Sequence[Assessed]) -> Assessed | None:
    return max(sensors, key=lambda sensor: _moment(sensor.as_of), default=None)


def _moment(at: datetime | None) -> float:
    """Something to sort by; an unknown time is before all that is known."""
    return -math.inf if at is None else at.timestamp()
