"""How far a humidity sensor has come in a jar above a wet salt. Pure.

All numbers are the sensor's own, before any correction. When a trial is ready is common
practice, no source: twelve hours, and a last hour in which nothing moved.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import pairwise

from service.climate.salts import RANGE_C, Salt, humidity_above

LEAST_TIME = timedelta(hours=12)
LOOKED_AT = timedelta(hours=1)
STEADY_PCT = 0.5
STEADY_C = 1.0


class Stage(StrEnum):
    """Where a trial stands."""

    SETTLING = "settling"
    STEADY = "steady"
    READY = "ready"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One value of the sensor, uncorrected."""

    at: datetime
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """A trial as it stands. ``why`` says in a sentence what the stage comes from.

    ``target_pct`` is what the salt holds at ``temperature_c``, the mean of the last hour;
    ``measured_pct`` is the mean of the last hour, ``spread_pct`` its highest less its lowest.
    Each is None while it can't be told.
    """

    stage: Stage
    why: str
    since: timedelta
    target_pct: float | None = None
    measured_pct: float | None = None
    spread_pct: float | None = None
    temperature_c: float | None = None


def progress(
    *,
    salt: Salt,
    started_at: datetime,
    humidity: Sequence[Sample],
    temperature: Sequence[Sample],
    typed_c: float | None = None,
    silent_after: timedelta,
    now: datetime,
) -> Progress:
    """How it stands at ``now``.

    Args:
        salt: what is in the jar.
        started_at: when the sensor was put in.
        humidity: its humidities [%] since then.
        temperature: its temperatures [°C] since then; empty where it tells none.
        typed_c: what a thermometer beside the jar says [°C], for a sensor that tells none.
        silent_after: how long it may be silent.
        now: the moment.
    """
    damp = _last_hour(humidity, started_at, now)
    warm = _last_hour(temperature, started_at, now)
    warmth = _warmth(warm, typed_c)
    measured = _mean(damp)
    found = Progress(
        stage=Stage.SETTLING,
        why="",
        since=now - started_at,
        target_pct=_target(salt, warmth),
        measured_pct=measured,
        spread_pct=_spread(damp),
        temperature_c=warmth,
    )
    stage, why = _stage(found, damp, warm, silent_after, now)
    return Progress(
        stage=stage,
        why=why,
        since=found.since,
        target_pct=found.target_pct,
        measured_pct=found.measured_pct,
        spread_pct=found.spread_pct,
        temperature_c=found.temperature_c,
    )


def _stage(
    found: Progress,
    damp: Sequence[Sample],
    warm: Sequence[Sample],
    silent_after: timedelta,
    now: datetime,
) -> tuple[Stage, str]:
    unknown = _unknown(found, damp, silent_after, now)
    if unknown:
        return Stage.CANNOT_TELL, unknown
    moving = _moving(found, damp, warm)
    if moving:
        return Stage.SETTLING, moving
    if found.since < LEAST_TIME:
        return Stage.STEADY, "It has been steady for an hour, and needs twelve hours in all."
    return Stage.READY, "It has been in for twelve hours or more, and steady for the last one."


def _unknown(
    found: Progress, damp: Sequence[Sample], silent_after: timedelta, now: datetime
) -> str:
    """Why nobody can tell; empty where one can."""
    if not damp:
        return "No humidity of it was heard in the last hour. Move the jar nearer to its receiver."
    if now - damp[-1].at > silent_after:
        return "It is silent: its last humidity is too old. Move the jar nearer to its receiver."
    if _longest_gap(damp) > silent_after:
        return "It was silent for a part of the last hour. Wait until it was heard for a whole one."
    if found.temperature_c is None:
        return "It tells no temperature now, and the salt's humidity depends on it: type it in."
    if found.target_pct is None:
        low, high = RANGE_C
        return f"At {found.temperature_c:.1f} °C this salt is no reference: {low:g} to {high:g} °C."
    return ""


def _moving(found: Progress, damp: Sequence[Sample], warm: Sequence[Sample]) -> str:
    """What still moves, in words; empty where nothing does."""
    if found.since < LOOKED_AT or damp[-1].at - damp[0].at < LOOKED_AT / 2:
        return "It has only just been put in. It takes twelve hours and more."
    if found.spread_pct is not None and found.spread_pct > STEADY_PCT:
        return (
            f"Its humidity moved by {found.spread_pct:.1f} % in the last hour; "
            f"steady is {STEADY_PCT:g} % or less."
        )
    spread_c = _spread(warm)
    if spread_c is not None and spread_c > STEADY_C:
        return (
            f"Its temperature moved by {spread_c:.1f} °C in the last hour; steady is "
            f"{STEADY_C:g} °C or less. Put the jar where it is neither warmed nor cooled."
        )
    return ""


def _last_hour(told: Sequence[Sample], started_at: datetime, now: datetime) -> list[Sample]:
    since = max(started_at, now - LOOKED_AT)
    return sorted((one for one in told if since <= one.at <= now), key=lambda one: one.at)


def _longest_gap(told: Sequence[Sample]) -> timedelta:
    gaps = (later.at - earlier.at for earlier, later in pairwise(told))
    return max(gaps, default=timedelta(0))


def _mean(told: Sequence[Sample]) -> float | None:
    return sum(one.value for one in told) / len(told) if told else None


def _spread(told: Sequence[Sample]) -> float | None:
    values = [one.value for one in told]
    return max(values) - min(values) if values else None


def _warmth(warm: Sequence[Sample], typed_c: float | None) -> float | None:
    """What the sensor tells comes before what was typed once."""
    mean = _mean(warm)
    return typed_c if mean is None else mean


def _target(salt: Salt, warmth_c: float | None) -> float | None:
    low, high = RANGE_C
    if warmth_c is None or not low <= warmth_c <= high:
        return None
    return humidity_above(salt, warmth_c)
