"""Eggs lie on deep bedding, in which they are easily buried. Pure."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta

from service.nests.nest import BeddingLevel, NestCheck
from service.rules.limit import Priority
from service.rules.nest_rules import egg_unseen
from service.rules.nest_rules.said import CANNOT_TELL, CLEAR, BoxSeen, NestRule, Said, breached
from service.rules.nest_rules.words import at_time
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Settable

KIND = "deep-bedding"


def judge(box: BoxSeen, _numbers: Mapping[str, float]) -> Said:
    """By the last look that told of bedding. Cannot tell where none did."""
    eggs = [one for one in box.residents if one.egg.fate is None and one.chick is None]
    if not eggs:
        return CLEAR
    look = next((one for one in reversed(box.nest.checks) if _tells(one)), None)
    if look is None or look.bedding is None:
        return CANNOT_TELL
    if look.bedding.level is not BeddingLevel.DEEP:
        return CLEAR
    count = "an egg lies" if len(eggs) == 1 else f"{len(eggs)} eggs lie"
    text = (
        f"{box.nest.box.name}: {count} on deep bedding, look of {at_time(look.at, box.zone)}. "
        "Take some out at the next visit, so that she can't bury them."
    )
    laid = min(one.egg.laid_to for one in eggs)
    said = breached(text, newest=max(laid, look.at), value=float(len(eggs)), setpoint=0.0)
    return replace(said, because_of=egg_unseen.KIND)


def _tells(look: NestCheck) -> bool:
    """Of how much there is: bedding that was taken out is less, though nobody said how much."""
    return look.bedding is not None and (look.bedding.level is not None or look.bedding.taken_out)


RULE = NestRule(
    settable=Settable(
        kind=KIND,
        name="Eggs on deep bedding",
        says="Told when eggs lie in a box whose bedding is deep.",
        needs="looks that tell of eggs and of bedding",
    ),
    rationale=Rationale(
        cause="The hen has not thrown the bedding out before she laid, or too much was put in.",
        consequence="Eggs are buried and chilled unseen.",
        response="Take bedding out by hand at the next visit, a little at a time, and leave the "
        "eggs as they lie.",
        respond_within=timedelta(days=1),
        priority=Priority.LOW,
        why_setpoint="In a thin layer an egg stays in sight.",
        source=COMMON_PRACTICE,
    ),
    judge=judge,
)
