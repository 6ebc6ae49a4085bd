"""An egg that must lie in the box, and that the last look did not see. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from service.nests.nest import NestCheck
from service.nests.residents import Resident
from service.rules.limit import Priority
from service.rules.nest_rules.said import CLEAR, BoxSeen, NestRule, Said, breached
from service.rules.nest_rules.words import all_of, at_time
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "egg-unseen"

FEEL_ALL_AFTER = 3
"""Looks in a row: then all of the bedding is felt through. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Unseen:
    """At ``looks`` looks in a row it was not seen, the first of them at ``since``."""

    words: str
    looks: int
    since: datetime


def judge(box: BoxSeen, numbers: Mapping[str, float]) -> Said:
    """By the last looks. It clears when one sees the egg, or the book tells its fate.

    A box that was never looked into breaches nothing: eggs are told by looks.
    """
    most = numbers["looks"]
    unseen = [one for one in _unseen(box) if one.looks >= most]
    look = box.last_look
    if not unseen or look is None:
        return CLEAR
    looks = max(one.looks for one in unseen)
    how_often = "at the last look" if looks == 1 else f"for {looks} looks"
    what = (
        "Feel through all of the bedding, down to the floor."
        if looks >= FEEL_ALL_AFTER
        else "Feel gently in the bedding with warm fingers, while the hen is off."
    )
    told = all_of("egg", [one.words for one in unseen])
    text = (
        f"{box.nest.box.name}: {told} not in sight {how_often}, "
        f"{at_time(look.at, box.zone)}. {what}"
    )
    return breached(
        text, newest=max(one.since for one in unseen), value=float(looks), setpoint=most
    )


def _unseen(box: BoxSeen) -> Sequence[_Unseen]:
    found = []
    for one in box.residents:
        if one.egg.fate is not None or one.chick is not None:
            continue
        looks = _missed_at(box.nest.checks, one)
        if looks:
            found.append(_Unseen(words=one.words("egg"), looks=len(looks), since=looks[-1].at))
    return found


def _missed_at(checks: Sequence[NestCheck], one: Resident) -> Sequence[NestCheck]:
    """The looks up to the last that did not see it, newest first."""
    found: list[NestCheck] = []
    for check in reversed(checks):
        if not _misses(check, one):
            break
        found.append(check)
    return found


def _misses(check: NestCheck, one: Resident) -> bool:
    if one.home is None:
        return one.egg.number in check.not_in_sight
    return any(seen.egg_id == one.egg.id and seen.not_in_sight for seen in check.guests)


RULE = NestRule(
    settable=Settable(
        kind=KIND,
        name="Egg not in sight",
        says="Told when a look did not see an egg that must lie there.",
        needs="looks that say which egg was not in sight",
        numbers=(
            Number(
                key="looks", words="after so many looks", unit="looks", usual=1, least=1, most=5
            ),
        ),
    ),
    rationale=Rationale(
        cause="The hen buried it in deep bedding, or it is broken or gone.",
        consequence="A buried egg is not warmed, and dies.",
        response="Feel gently in the bedding with clean, warm fingers while the hen is off, and "
        "leave the others as they lie. Take bedding out if it is deep. Do not call it lost yet.",
        respond_within=timedelta(hours=12),
        priority=Priority.MEDIUM,
        why_setpoint="One look is enough: an egg that was there does not leave by itself.",
        source=COMMON_PRACTICE,
    ),
    judge=judge,
)
