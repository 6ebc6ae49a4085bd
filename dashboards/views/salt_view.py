"""A humidity sensor in a jar above a wet salt, in words. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from dashboards.calibration_facts import TrialNow
from dashboards.views.calibration_view import exact
from dashboards.views.local_words import moment
from devices.reading import Quantity
from service.climate.salts import Salt, humidity_above
from service.quality.calibrating import APART, Point
from service.quality.salt_trial import Progress, Stage
from service.store.calibration_store import SaltTrial

EARLIER_COUNTS_FOR = timedelta(days=60)
"""A sensor drifts: an older trial makes no line with a new one (common practice, no source)."""

_ROOM_C = 20.0
_RH = Quantity.RELATIVE_HUMIDITY
_COMMON = {
    Salt.SODIUM_CHLORIDE: "table salt",
    Salt.MAGNESIUM_CHLORIDE: "not for eating; it draws water from the air",
    Salt.POTASSIUM_CHLORIDE: "not for eating",
}
_STAGES = {
    Stage.SETTLING: "Settling",
    Stage.STEADY: "Steady, not long enough",
    Stage.READY: "Ready",
    Stage.CANNOT_TELL: "Cannot tell",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltChoice:
    """``holds`` is its humidity in a room."""

    value: str
    name: str
    words: str
    holds: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialView:
    """``facts`` are names and values. ``ready_at`` is when it was ready last, empty if never.

    ``result`` is what taking it would do; ``earlier`` names a trial with another salt that
    makes a line with this one. ``no_warmth``: the sensor tells no temperature.
    """

    salt: str
    started: str
    stage: str
    why: str
    facts: tuple[tuple[str, str], ...]
    ready_at: str
    result: str
    earlier: str
    no_warmth: bool
    typed: str


def salt_choices() -> tuple[SaltChoice, ...]:
    """The salts, table salt first."""
    return tuple(
        SaltChoice(
            value=salt.value,
            name=salt.value.capitalize(),
            words=_COMMON[salt],
            holds=f"{humidity_above(salt, _ROOM_C):.0f}% at {_ROOM_C:.0f}°",
        )
        for salt in Salt
    )


def trial_view(
    trial: SaltTrial,
    told: TrialNow,
    earlier: SaltTrial | None,
    *,
    typed: str,
    now: datetime,
    zone: ZoneInfo,
) -> TrialView:
    """How it goes."""
    ready = told.ready
    return TrialView(
        salt=trial.salt,
        started=moment(trial.started_at, now, zone),
        stage=_STAGES[told.now.stage],
        why=told.now.why,
        facts=_facts(told.now),
        ready_at=moment(told.ready_at, now, zone) if told.ready_at else "",
        result=_result(ready) if ready else "",
        earlier=_earlier(earlier, now, zone) if earlier else "",
        no_warmth=told.now.temperature_c is None or bool(typed),
        typed=typed,
    )


def point_of(trial: SaltTrial) -> Point | None:
    """What an ended trial came to; None where it was given up."""
    if trial.measured_pct is None or trial.target_pct is None:
        return None
    return Point(raw=trial.measured_pct, reference=trial.target_pct)


def line_with(trials: Sequence[SaltTrial], open_one: SaltTrial, now: datetime) -> SaltTrial | None:
    """The newest ended trial of the device that makes a line with the open one."""
    target = humidity_above(Salt(open_one.salt), _ROOM_C)
    for one in reversed(trials):
        point, ended = point_of(one), one.ended_at
        if one.device != open_one.device or point is None or ended is None:
            continue
        apart = abs(point.reference - target) >= APART[_RH]
        if apart and now - ended <= EARLIER_COUNTS_FOR:
            return one
    return None


def _facts(told: Progress) -> tuple[tuple[str, str], ...]:
    hours, minutes = divmod(int(told.since / timedelta(minutes=1)), 60)
    rows = [("In the jar", f"{hours} h {minutes:02d} min")]
    if told.measured_pct is not None:
        rows.append(("It reads, mean of an hour", exact(told.measured_pct, _RH)))
    if told.spread_pct is not None:
        rows.append(("Moved in that hour by", exact(told.spread_pct, _RH)))
    if told.temperature_c is not None:
        rows.append(("Temperature there", exact(told.temperature_c, Quantity.TEMPERATURE)))
    if told.target_pct is not None:
        rows.append(("The salt holds", exact(told.target_pct, _RH)))
    return tuple(rows)


def _result(ready: Progress) -> str:
    if ready.measured_pct is None or ready.target_pct is None:
        return ""
    off = ready.target_pct - ready.measured_pct
    if round(abs(off), 1) == 0:
        return "It reads what the salt holds."
    way = "too little" if off > 0 else "too much"
    return f"It reads {abs(off):.1f} % {way}."


def _earlier(earlier: SaltTrial, now: datetime, zone: ZoneInfo) -> str:
    at = earlier.ended_at
    return f"{earlier.salt} of {moment(at, now, zone)}" if at else earlier.salt
