"""Minutes a day for the weeks to come: the answer to ``workload``."""

from collections.abc import Sequence

from typing_extensions import TypedDict

from service.answers.work_ahead import WorkAhead
from service.nests.workload.forecast import peaks
from service.nests.workload.typical_minutes import SOURCE


class WorkloadAnswer(TypedDict):
    """``minutes`` are the mean of the day. ``low`` to ``high`` hold it about eight times in ten by
    own times; by typical ones they hold only what due dates and stages leave open.

    ``parts`` are minutes by duty or kind of due; they add up to ``minutes``, but for rounding.
    ``may_add`` is what warm weather may bring; it is in ``high``. ``peak`` is one of the three
    longest days. ``visits`` are the timed ones that the pace rests on; ``rests_on`` says so in
    words.
    """

    date: str
    minutes: float
    parts: dict[str, float]
    low: float
    high: float
    may_add: float
    peak: bool
    visits: int
    rests_on: str


def workload(found: WorkAhead) -> list[WorkloadAnswer]:
    """One item a day, today first."""
    longest: Sequence[object] = peaks(found.days)
    told = rests_on(found)
    return [
        WorkloadAnswer(
            date=one.day.isoformat(),
            minutes=round(one.minutes.mean, 1),
            parts={name: round(minutes, 1) for name, minutes in one.parts},
            low=round(one.minutes.low, 1),
            high=round(one.minutes.high, 1),
            may_add=round(one.may_add, 1),
            peak=one in longest and one.minutes.mean > 0,
            visits=found.pace.visits,
            rests_on=told,
        )
        for one in found.days
    ]


def rests_on(found: WorkAhead) -> str:
    """What the minutes rest on, in one sentence."""
    pace = found.pace
    if pace.known:
        return f"your own times, from {pace.visits} visits"
    if not pace.visits:
        return f"{SOURCE}; no visit was timed yet"
    timed = "1 timed visit is" if pace.visits == 1 else f"{pace.visits} timed visits are"
    return f"{SOURCE}; {timed} too few to go by"
