"""Duties that were missed and are carried until they are done: one alarm for all of them. Pure.

A duty that is dropped when its time went by is not asked for again, and so is not late.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta

from service.nests.duty import DutyDue
from service.nests.duty_days import ShedDays
from service.nests.visits import day_began
from service.rules.limit import Priority
from service.rules.nest_rules.said import CLEAR, Said, breached
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "duties-late"
NAMED = 3
"""So many duties are named; more than that are counted."""


def judge(
    due: Sequence[DutyDue],
    shed: ShedDays,
    numbers: Mapping[str, float],
    name_of: Callable[[str], str],
) -> Said:
    """``due`` is all that is due at ``shed.now``; ``name_of`` a place's name by its id."""
    late = [(one, since) for one in due if (since := one.missed_since) is not None]
    late = [(one, since) for one, since in late if _days(since, shed) >= numbers["after_d"]]
    if not late:
        return CLEAR
    first, last = min(since for _, since in late), max(since for _, since in late)
    count = "A duty is late" if len(late) == 1 else f"{len(late)} duties are late"
    text = (
        f"{count}, since {first.day} {first:%B}: {_named([one for one, _ in late], name_of)}. "
        "They stand on today's list."
    )
    newest = day_began(last, shed.zone) + timedelta(days=numbers["after_d"])
    return breached(
        text, newest=newest, value=float(_days(first, shed)), setpoint=numbers["after_d"]
    )


def _days(since: date, shed: ShedDays) -> int:
    return (shed.today - since).days


def _named(late: Sequence[DutyDue], name_of: Callable[[str], str]) -> str:
    """Each duty once, with its places: ``clean the tray (Cage 1, Cage 2)``."""
    places: dict[str, list[str]] = {}
    for one in late:
        places.setdefault(one.words, []).append(name_of(one.place))
    told = [f"{words} ({', '.join(_few(at))})" for words, at in list(places.items())[:NAMED]]
    more = len(places) - len(told)
    return "; ".join((*told, f"{more} more")) if more else "; ".join(told)


def _few(names: Sequence[str]) -> Sequence[str]:
    shown = list(names[:NAMED])
    more = len(names) - len(shown)
    return [*shown, f"{more} more"] if more else shown


SETTABLE = Settable(
    kind=KIND,
    name="Duties overdue",
    says="Told once for all duties that were missed and are carried until they are done.",
    needs="duties that are carried when they are missed",
    numbers=(
        Number(
            key="after_d", words="late for so many days", unit="days", usual=1, least=1, most=14
        ),
    ),
)
RATIONALE = Rationale(
    cause="The day was full, it was forgotten, or it was done and not told.",
    consequence="What is carried matters: a dirty tray, a treatment left out.",
    response="Do it at this visit, or tell it as done. Make a duty rarer that is never done.",
    respond_within=timedelta(days=1),
    priority=Priority.LOW,
    why_setpoint="A day late is caught up with at the next visit; only then is it told.",
    source=COMMON_PRACTICE,
)
