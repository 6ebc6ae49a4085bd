"""How far the lamps' clock is out, and whether it gains or loses. Pure.

Only changes of light that came as suddenly as lamps bring them tell of the clock; where daylight
hides them nobody can say. A day that differs from the one before by more than ``SET_ANEW``
begins a new stretch: somebody set the clock, or the clocks of the country changed and it did not.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from service.climate.light_day import LightDay
from service.climate.light_spans import LightSource

SET_ANEW = timedelta(minutes=10)
FEWEST_DAYS = 2
"""With fewer nothing is told: a cloud at dawn can look like a lamp, but hardly twice alike."""

FEWEST_DAYS_OF_DRIFT = 5

# Upper 2.5 % points of Student's t by degrees of freedom, from 1 on: NIST/SEMATECH e-Handbook
# of Statistical Methods, 1.3.6.7.2. Beyond, the last one is a little too wide.
_T_975 = (
    *(12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228),
    *(2.201, 2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086),
)
_NEWEST = 3
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class LampClock:
    """What the lamps show of their clock since it was set last.

    ``days`` of ``since`` to ``until`` tell of it. ``late`` is how much later than planned they
    came and went in the newest of them (negative: earlier). ``later_min_a_week`` is by how much
    they come later each week, with its 95 % interval from ``later_least`` to ``later_most``;
    all three are None with fewer than FEWEST_DAYS_OF_DRIFT.
    """

    since: date
    until: date
    days: int
    late: timedelta
    later_min_a_week: float | None = None
    later_least: float | None = None
    later_most: float | None = None


def lamp_clock(days: Sequence[LightDay], *, interval: timedelta) -> LampClock | None:
    """The clock by the newest stretch of days; None where too little was seen of lamps and plan.

    Args:
        days: oldest first, gaps allowed.
        interval: between two readings of the light sensor; an edge is known no better.
    """
    told = [(day.day, late) for day in days if (late := lateness(day)) is not None]
    if not told:
        return None
    begins = [
        at for at, ((_, one), (_, other)) in enumerate(pairwise(told), 1) if _jumps(one, other)
    ]
    stretch = told[begins[-1] if begins else 0 :]
    if len(stretch) < FEWEST_DAYS:
        return None
    newest = sorted(late for _, late in stretch[-_NEWEST:])
    slope = _slope(stretch, interval) if len(stretch) >= FEWEST_DAYS_OF_DRIFT else None
    return LampClock(
        since=stretch[0][0],
        until=stretch[-1][0],
        days=len(stretch),
        late=newest[len(newest) // 2],
        later_min_a_week=slope[0] if slope else None,
        later_least=slope[0] - slope[1] if slope else None,
        later_most=slope[0] + slope[1] if slope else None,
    )


def lateness(day: LightDay) -> timedelta | None:
    """How much later than planned the lamps came and went, on average of the two.

    None where no lamps were seen to do either beside a plan, or where they came as planned and
    went at quite another time: that is not their clock's doing.
    """
    if day.planned is None:
        return None
    seen = []
    if day.on_at is not None and day.on_by is LightSource.LAMPS:
        seen.append(day.on_at - day.planned.on_at)
    if day.off_at is not None and day.off_by is LightSource.LAMPS:
        seen.append(day.off_at - day.planned.off_at)
    if not seen or max(seen) - min(seen) > SET_ANEW:
        return None
    return sum(seen, timedelta(0)) / len(seen)


def _jumps(one: timedelta, other: timedelta) -> bool:
    return abs(other - one) > SET_ANEW


def _slope(stretch: Sequence[tuple[date, timedelta]], interval: timedelta) -> tuple[float, float]:
    """Least squares: minutes a week, and half the width of the 95 % interval."""
    weeks = [(day - stretch[0][0]).days / 7 for day, _ in stretch]
    late = [told / _MINUTE for _, told in stretch]
    mean_x, mean_y = sum(weeks) / len(weeks), sum(late) / len(late)
    spread = sum((x - mean_x) ** 2 for x in weeks)
    slope = sum((x - mean_x) * (y - mean_y) for x, y in zip(weeks, late, strict=True)) / spread
    rest = sum((y - mean_y - slope * (x - mean_x)) ** 2 for x, y in zip(weeks, late, strict=True))
    freedom = len(weeks) - 2
    # An edge that always falls on the same reading scatters less than it is known.
    scatter = max(rest / freedom, (interval / _MINUTE) ** 2 / 12)
    t = _T_975[min(freedom, len(_T_975)) - 1]
    return slope, t * math.sqrt(scatter / spread)
