"""How often a limit would have spoken over readings that are stored. Pure.

The same following as in life (``follow.py``), for a month of minutes at once: readings that change
nothing but which of them is the newest are passed over.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from service.climate.samples import FlaggedSample, at_ms
from service.quality.flag import Flag
from service.rules.follow import Standing, Track, assess, changes, follow, is_past, starting
from service.rules.limit import Limit, When

IsNight = Callable[[int], bool | None]
"""Whether it was night at such a millisecond; None where nobody can tell."""

_TELL_NOTHING = (int(Flag.FAIL), int(Flag.MISSING))


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell:
    """A time in which the limit would have been active; ``until`` is None where it still is.

    ``worst`` is the value furthest beyond the setpoint.
    """

    since: datetime
    until: datetime | None
    worst: float


def spells(
    limit: Limit,
    readings: Iterable[FlaggedSample],
    is_night: IsNight,
    *,
    max_gap: timedelta,
    now: datetime,
) -> tuple[Spell, ...]:
    """When a limit would have been active on the readings of one sensor, oldest first.

    Args:
        limit: in the terms that are asked about; the part of the year is not asked.
        readings: of one sensor, oldest first, in the limit's unit; may have gaps and be empty.
            What failed is no reading, what is doubtful gives no all-clear, as in life.
        is_night: what is known of the light at a reading.
        max_gap: how long one reading speaks for the time after it.
        now: the end of the time asked about; the on-delay runs up to it.
    """
    played = _Played(limit, max_gap)
    holds_always = limit.when is When.ALWAYS
    for at, value, flag in readings:
        if flag not in _TELL_NOTHING and math.isfinite(value):
            holds = holds_always or _holds(limit, is_night(at))
            played.hear(at, value, flag, holds)
    played.end(now)
    return tuple(played.spells)


def together(of_each: Iterable[Sequence[Spell]], *, high: bool) -> tuple[Spell, ...]:
    """The spells of several sensors as those of one alarm: it is active while any of them is.

    ``high``: whether the limit is one above which values are worse.
    """
    found: list[Spell] = []
    for spell in sorted((s for one in of_each for s in one), key=lambda spell: spell.since):
        last = found[-1] if found else None
        if last is None or (last.until is not None and spell.since > last.until):
            found.append(spell)
            continue
        ends = [end for end in (last.until, spell.until) if end is not None]
        worst = max(last.worst, spell.worst) if high else min(last.worst, spell.worst)
        found[-1] = replace(last, until=max(ends) if len(ends) == 2 else None, worst=worst)
    return tuple(found)


def _holds(limit: Limit, is_night: bool | None) -> bool:
    return is_night is None or is_night is (limit.when is When.NIGHT)


class _Played:
    """A limit that is led over readings, and what it said."""

    def __init__(self, limit: Limit, max_gap: timedelta) -> None:
        self.spells: list[Spell] = []
        self._limit = limit
        self._max_gap = max_gap
        self._track = starting(False)
        self._worst: float | None = None

    def hear(self, at: int, value: float, flag: int, holds: bool) -> None:
        """One reading that tells something, at a millisecond."""
        breach = holds and is_past(self._limit, value)
        if breach:
            self._worst = value if self._worst is None else self._worse(value)
        if self._changes_nothing(value, breach=breach, holds=holds):
            return
        before = self._track
        self._track = follow(
            before,
            self._limit,
            at=at_ms(at),
            value=value,
            flag=Flag(flag),
            in_force=holds,
            max_gap=self._max_gap,
        )
        self._note(before)

    def end(self, now: datetime) -> None:
        """Let the delays run up to there."""
        before = self._track
        self._track = assess(before, self._limit, now, self._max_gap).track
        self._note(before)
        if self._track.active:
            self.spells[-1] = self._with_worst(self.spells[-1])

    def _changes_nothing(self, value: float, *, breach: bool, holds: bool) -> bool:
        """Whether no delay runs and this reading lets none begin."""
        standing = self._track.standing
        if not self._track.active:
            return not breach and standing is not Standing.BREACH
        good = value - self._limit.setpoint
        clear = not holds or (good if self._limit.low is not None else -good) >= (
            self._limit.deadband
        )
        return not clear and standing is not Standing.CLEAR

    def _worse(self, value: float) -> float:
        held = value if self._worst is None else self._worst
        return max(held, value) if self._limit.high is not None else min(held, value)

    def _with_worst(self, spell: Spell) -> Spell:
        return spell if self._worst is None else replace(spell, worst=self._worse(spell.worst))

    def _note(self, before: Track) -> None:
        for change in changes(before, self._track):
            if change.active:
                worst = self._limit.setpoint if self._worst is None else self._worst
                self.spells.append(Spell(since=change.at, until=None, worst=worst))
            else:
                self.spells[-1] = replace(self._with_worst(self.spells[-1]), until=change.at)
        if not self._track.active and self._track.standing is not Standing.BREACH:
            self._worst = None
