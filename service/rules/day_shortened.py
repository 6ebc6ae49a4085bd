"""A day that was much shorter than those before it. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from statistics import median

from service.climate.light_day import LightDay
from service.rules.limit import Assessment, Priority
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "day-shortened"

SETTABLE = Settable(
    kind=KIND,
    name="The day became shorter at a stroke",
    says="Speaks when a day had much less light than the days before it, and nobody planned so.",
    needs="a light sensor in the shed, and four days of it",
    numbers=(
        Number(
            key="by_min",
            words="By so many minutes",
            unit="min",
            usual=90.0,
            least=30.0,
            most=360.0,
        ),
    ),
)

RATIONALE = Rationale(
    cause="A timer that was set anew, lost its time or its summer time, or lamps that came late.",
    consequence="A shorter day ends laying and brings the moult, and young get fewer meals.",
    response="Look at the timer. Put the day back as it was; shorten it in steps if you want to.",
    respond_within=timedelta(days=1),
    priority=Priority.LOW,
    why_setpoint="Light is commonly changed by a quarter to half an hour a week; an hour and a "
    "half in one day is no step of a programme.",
    source=f"{COMMON_PRACTICE}; 14 hours of light bring eggs sooner than shorter days: J. Zool. "
    "1973, doi:10.1111/j.1469-7998.1973.tb05061.x (abstract)",
)

DAYS_BEFORE = 3
_SEEN = 0.95


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortened:
    """What is said of a day. ``light`` and ``usual`` are None where nobody can tell."""

    assessment: Assessment
    light: timedelta | None = None
    usual: timedelta | None = None


def shortened(days: Sequence[LightDay], by: timedelta) -> Shortened:
    """Whether the last of some days, oldest first, had less light than those before it.

    A day counts where it is over and nearly all of it was seen. Light that the plan itself took
    away is not missing.
    """
    whole = [one for one in days if one.is_over and one.light and one.coverage >= _SEEN]
    if not days or len(whole) < DAYS_BEFORE or not whole or whole[-1].day != days[-1].day:
        return Shortened(assessment=Assessment.CANNOT_TELL)
    *before, last = whole
    light = last.light or timedelta(0)
    usual = timedelta(seconds=median(_seconds(one.light) for one in before))
    planned_less = _planned_less(before[-1], last)
    is_short = usual - light - planned_less >= by
    return Shortened(
        assessment=Assessment.BREACHED if is_short else Assessment.CLEAR, light=light, usual=usual
    )


def _planned_less(before: LightDay, last: LightDay) -> timedelta:
    if before.planned is None or last.planned is None:
        return timedelta(0)
    were, are = (one.off_at - one.on_at for one in (before.planned, last.planned))
    return max(timedelta(0), were - are)


def _seconds(light: timedelta | None) -> float:
    return (light or timedelta(0)).total_seconds()
