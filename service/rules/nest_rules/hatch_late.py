"""Eggs that should have hatched by now, and had not at the last look. Pure."""

from collections.abc import Mapping
from datetime import timedelta

from service.nests.due import Due, DueKind
from service.rules.limit import Priority
from service.rules.nest_rules.said import CANNOT_TELL, CLEAR, BoxSeen, NestRule, Said, breached
from service.rules.nest_rules.words import DAY, all_of, at_time, on_day
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "hatch-late"


def judge(box: BoxSeen, numbers: Mapping[str, float]) -> Said:
    """By a look after the days of hatching. Cannot tell of an egg that nobody looked at since.

    It clears when each has hatched, or has its fate, or was moved.
    """
    over = timedelta(days=numbers["over_d"])
    past = [due for due in box.of_kind(DueKind.HATCH) if due.until + over <= box.now]
    if not past:
        return CLEAR
    look = box.last_look
    late = [due for due in past if look is not None and due.until + over <= look.at]
    if look is None or not late:
        return CANNOT_TELL
    first = min(due.until for due in late)
    told = all_of("egg", [_words(box, due) for due in late])
    them = "it" if len(late) == 1 else "them"
    text = (
        f"{box.nest.box.name}: {told} should have hatched by {on_day(first, box.zone)}, and had "
        f"not at the look of {at_time(look.at, box.zone)}. Hold {them} to a light. Leave {them} "
        "under the hen while you are not sure."
    )
    return breached(
        text,
        newest=max(due.until for due in late) + over,
        value=(look.at - first) / DAY,
        setpoint=numbers["over_d"],
    )


def _words(box: BoxSeen, due: Due) -> str:
    found = [one.words("egg") for one in box.residents if one.egg.id == due.egg_id]
    return found[0] if found else f"egg {due.egg_number}"


RULE = NestRule(
    settable=Settable(
        kind=KIND,
        name="Hatch overdue",
        says="Told when a look after the days of hatching still shows the egg.",
        needs="looks that tell of eggs",
        numbers=(
            Number(
                key="over_d",
                words="so many days over the usual",
                unit="days",
                usual=2,
                least=0,
                most=7,
            ),
        ),
    ),
    rationale=Rationale(
        cause="It is clear, it died, or she began to sit later than the book reckons.",
        consequence="A dead egg spoils and can burst over the others. A live one thrown out too "
        "early is lost.",
        response="Hold it to a light. Tell it as clear or dead in shell when you are sure, and "
        "leave it under the hen while you are not.",
        respond_within=timedelta(days=2),
        priority=Priority.LOW,
        why_setpoint="Two days over the longest usual time: chilled eggs come late.",
        source=COMMON_PRACTICE,
    ),
    judge=judge,
)
