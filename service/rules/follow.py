"""One limit on the readings of one sensor, followed by event time.

``Track`` is all that must be remembered; ``follow`` takes one reading, ``assess`` says what
the limit says at a time. Words (on-delay, off-delay, deadband) as in IEC 62682 and OPC
10000-9, annex B.1.5. What they leave open is settled here on the side of the birds:

* FAIL, MISSING and values that are no numbers are as if they had not come: they raise
  nothing, clear nothing and reset nothing. SUSPECT counts for danger, never for an all-clear.
* The on-delay runs from a breached reading to the next reading, or to now, but never more
  than ``max_gap`` past one reading: it stands still while nobody knows.
* The off-delay runs only from one clear reading to the next. Without readings nothing clears.

As long as readings come in order it makes no difference how often ``assess`` is asked, or
where a stream of readings is cut. Pure.
"""

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import Enum

from service.climate.light_state import Light
from service.quality.flag import Flag
from service.rules.limit import Assessment, Limit, When

_ZERO = timedelta(0)


class Standing(Enum):
    """Where a reading stands to a limit."""

    BREACH = "breach"
    BETWEEN = "between"
    """Not breached, but not past the setpoint by the deadband either."""
    CLEAR = "clear"


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """What is remembered of one limit on one sensor; as made, nothing was ever heard.

    ``last_at``, ``last_value`` and ``standing`` are of the newest reading that counted.
    ``breached_since`` is the first breached reading of the run that is going on (or that
    raised the alarm that is active), ``breached_for`` and ``clear_for`` are how far the
    on-delay and the off-delay have run at ``last_at``. ``raised_at`` and ``cleared_at`` are
    the exact times when ``active`` last changed, None where that was not seen.
    """

    active: bool = False
    raised_at: datetime | None = None
    cleared_at: datetime | None = None
    last_at: datetime | None = None
    last_value: float | None = None
    standing: Standing | None = None
    breached_since: datetime | None = None
    breached_for: timedelta = _ZERO
    clear_for: timedelta = _ZERO


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessed:
    """What a limit says now of one sensor. ``track`` is to be kept in place of the old one.

    ``active`` also tells of an alarm whose sensor has gone silent: ``assessment`` is then
    CANNOT_TELL. ``value`` is that of the newest reading that counted, measured at ``as_of``.
    While the on-delay of a breach still runs the assessment is CLEAR and ``breached_since``
    says since when the value has been breached.
    """

    assessment: Assessment
    active: bool
    raised_at: datetime | None
    cleared_at: datetime | None
    breached_since: datetime | None
    value: float | None
    as_of: datetime | None
    track: Track


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A limit became active, or was seen to be clear, at exactly this time."""

    active: bool
    at: datetime


def starting(active: bool, raised_at: datetime | None = None) -> Track:
    """A track to follow stored readings with after a restart, from the kept alarm state.

    The stored readings should reach back by the longer of both delays and a few ``max_gap``.
    Their own raising and clearing is history: only the outcome counts.
    """
    return Track(active=active, raised_at=raised_at if active else None)


def in_force(limit: Limit, light: Light) -> bool:
    """Whether the limit holds in this light; always where no night can be known."""
    if limit.when is When.ALWAYS or light.is_night is None:
        return True
    return light.is_night is (limit.when is When.NIGHT)


def is_past(limit: Limit, value: float) -> bool:
    """Whether a value breaches the limit by itself, all delays aside; NaN does not."""
    return _good_by(limit, value) < 0


def follow(
    track: Track,
    limit: Limit,
    *,
    at: datetime,
    value: float,
    flag: Flag,
    in_force: bool,
    max_gap: timedelta,
) -> Track:
    """The track after one more reading.

    A reading outside the light in which the limit holds (``in_force`` False) counts as
    clear. One that is no newer than the last that counted changes nothing.
    """
    standing = _standing(track, limit, value, flag, in_force)
    if standing is None or (track.last_at is not None and at <= track.last_at):
        return track
    # Time first, so that it does not matter whether somebody asked in between.
    before = _run_on(track, limit, at, max_gap, reaching=standing is Standing.BREACH)
    passed = _ZERO if before.last_at is None else min(at - before.last_at, max_gap)
    after = replace(before, last_at=at, last_value=value, standing=standing)
    if after.active:
        return _follow_active(before, after, limit, at, passed)
    return _follow_inactive(before, after, limit, at, passed)


def assess(track: Track, limit: Limit, now: datetime, max_gap: timedelta) -> Assessed:
    """What the limit says at ``now``.

    Ask only after all readings up to ``now`` were followed.
    """
    track = _run_on(track, limit, now, max_gap, reaching=True)
    if track.last_at is None or now - track.last_at > max_gap:
        assessment = Assessment.CANNOT_TELL
    else:
        assessment = Assessment.BREACHED if track.active else Assessment.CLEAR
    return Assessed(
        assessment=assessment,
        active=track.active,
        raised_at=track.raised_at,
        cleared_at=track.cleared_at,
        breached_since=track.breached_since,
        value=track.last_value,
        as_of=track.last_at,
        track=track,
    )


def changes(before: Track, after: Track) -> tuple[Change, ...]:
    """What became of a limit between two states of its track, in order.

    With an off-delay of zero one late reading can both raise and clear: both are told.
    """
    told = []
    if after.raised_at is not None and after.raised_at != before.raised_at:
        told.append(Change(active=True, at=after.raised_at))
    if (before.active or told) and not after.active and after.cleared_at is not None:
        told.append(Change(active=False, at=after.cleared_at))
    return tuple(told)


def next_deadline(track: Track, limit: Limit, max_gap: timedelta) -> datetime | None:
    """When the limit would become active without another reading; None where it would not."""
    if track.active or track.standing is not Standing.BREACH or track.last_at is None:
        return None
    missing = limit.on_delay - track.breached_for
    return track.last_at + missing if missing <= max_gap else None


def _standing(
    track: Track, limit: Limit, value: float, flag: Flag, in_force: bool
) -> Standing | None:
    """None for what tells nothing, which is never taken for fine."""
    if flag in (Flag.FAIL, Flag.MISSING) or not math.isfinite(value):
        return None
    standing = _placed(limit, value) if in_force else Standing.CLEAR
    sure = flag is Flag.PASS
    if sure or standing is Standing.BREACH:
        return standing
    # Doubtful and not breached: it may hold an alarm up, and lets nothing off.
    return Standing.BETWEEN if standing is Standing.BETWEEN and track.active else None


def _placed(limit: Limit, value: float) -> Standing:
    good_by = _good_by(limit, value)
    if good_by < 0:
        return Standing.BREACH
    return Standing.CLEAR if good_by >= limit.deadband else Standing.BETWEEN


def _good_by(limit: Limit, value: float) -> float:
    """How far the value is past the setpoint, on the good side: one form for both."""
    return value - limit.low if limit.low is not None else limit.setpoint - value


def _run_on(
    track: Track, limit: Limit, to: datetime, max_gap: timedelta, *, reaching: bool
) -> Track:
    """Let the on-delay run past the last reading; ``reaching``: up to and including ``to``."""
    due = next_deadline(track, limit, max_gap)
    if due is None or due > to or (due == to and not reaching):
        return track
    return replace(
        track, active=True, raised_at=due, cleared_at=None, breached_for=_ZERO, clear_for=_ZERO
    )


def _follow_inactive(
    before: Track, after: Track, limit: Limit, at: datetime, passed: timedelta
) -> Track:
    if after.standing is not Standing.BREACH:
        return replace(after, breached_since=None, breached_for=_ZERO)
    if before.standing is Standing.BREACH:
        # Were the on-delay over by now, the time would have raised it already.
        return replace(after, breached_for=before.breached_for + passed)
    after = replace(after, breached_since=at, breached_for=_ZERO)
    return _run_on(after, limit, at, _ZERO, reaching=True)


def _follow_active(
    before: Track, after: Track, limit: Limit, at: datetime, passed: timedelta
) -> Track:
    if after.standing is not Standing.CLEAR:
        return replace(after, clear_for=_ZERO)
    going_on = before.standing is Standing.CLEAR
    clear_for = before.clear_for + passed if going_on else _ZERO
    if clear_for < limit.off_delay:
        return replace(after, clear_for=clear_for)
    began = before.last_at if going_on and before.last_at else at
    cleared_at = began + max(_ZERO, limit.off_delay - before.clear_for)
    if after.raised_at is not None:
        # A late reading may be older than a breach that was inferred while it was missing.
        cleared_at = max(cleared_at, after.raised_at)
    return replace(after, active=False, cleared_at=cleared_at, breached_since=None, clear_for=_ZERO)
