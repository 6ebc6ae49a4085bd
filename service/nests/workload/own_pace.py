"""How the keeper's own times stand to the typical ones. Pure.

For every timed visit: the minutes it took, over the typical minutes of what was done in it. So a
visit with much to do and one with little tell the same, and what is to come can be reckoned by
what there is to do. A visit in which next to nothing was noted tells nothing.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from service.nests.duty import Duty, DutyDone
from service.nests.nest import NestCheck
from service.nests.workload.order_statistics import Middle, Spread, middle, spread
from service.nests.workload.timed_visit import TimedVisit, VisitTook
from service.nests.workload.typical_minutes import LOOK_MIN, minutes_of_check

LEAST_NOTED_MIN = 2.0
"""With less typical work than this a visit tells nothing of the keeper's pace."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """``middle`` and ``spread`` are of own minutes over typical ones; None where too few.

    ``visits`` tell the pace; ``unnoted`` were timed, but next to nothing was noted as done.
    """

    visits: int
    unnoted: int = 0
    middle: Middle | None = None
    spread: Spread | None = None

    @property
    def known(self) -> bool:
        """Whether there are enough visits to reckon with."""
        return self.middle is not None and self.spread is not None


NO_PACE = Pace(visits=0)
"""Nothing was timed yet."""


def pace_of(ratios: Sequence[float], unnoted: int = 0) -> Pace:
    """From one number a visit."""
    return Pace(visits=len(ratios), unnoted=unnoted, middle=middle(ratios), spread=spread(ratios))


def own_pace(
    took: Iterable[VisitTook],
    visits: Sequence[TimedVisit],
    done: Sequence[DutyDone],
    checks: Sequence[NestCheck],
    duties: Sequence[Duty],
) -> Pace:
    """``checks`` are all looks since the first of the timed visits, ``done`` likewise."""
    ratios, unnoted = [], 0
    for one in took:
        parts = [v for v in visits if (v.day, v.visit) == (one.day, one.visit)]
        typical = typical_minutes_of(parts, done, checks, duties)
        if typical < LEAST_NOTED_MIN:
            unnoted += 1
        else:
            ratios.append(one.minutes / typical)
    return pace_of(ratios, unnoted)


def typical_minutes_of(
    parts: Sequence[TimedVisit],
    done: Sequence[DutyDone],
    checks: Sequence[NestCheck],
    duties: Sequence[Duty],
) -> float:
    """What was done between the taps, or for that visit, in typical minutes.

    Work that was told for this visit counts wherever its tap fell; carried work counts where
    its tap fell between begin and end.
    """
    if not parts:
        return 0.0
    which = (parts[0].day, parts[0].visit)
    by_id = {duty.id: duty for duty in duties}
    looks = [check for check in checks if _within(check.at, parts)]
    looked_in = {check.box for check in looks}
    total = sum(minutes_of_check(check, look_minutes(duties)) for check in looks)
    for one in done:
        duty = by_id.get(one.slot.duty_id)
        of_it = (one.slot.day, one.slot.visit) == which or _within(one.at, parts)
        if duty is None or not one.stands or not of_it:
            continue
        # A look that the book has is not counted a second time.
        if not (duty.terms.look and one.slot.place in looked_in):
            total += _minutes_then(duty, one)
    return total


def look_minutes(duties: Sequence[Duty]) -> float:
    """What a look into a box typically takes, by the duty to look, where there is one."""
    looks = [duty.minutes for duty in duties if duty.terms.look and not duty.terms.off]
    return looks[0] if looks else LOOK_MIN


def _minutes_then(duty: Duty, done: DutyDone) -> float:
    """By the terms that held when it was done."""
    held = [terms for terms in duty.every_terms if terms.since <= done.at]
    return (held[-1] if held else duty.every_terms[0]).minutes


def _within(at: datetime, parts: Sequence[TimedVisit]) -> bool:
    return any(part.ended_at is not None and part.began_at <= at <= part.ended_at for part in parts)
