"""Youngsters may come out of the box soon, and no place to hide is in. Pure."""

from collections.abc import Mapping
from datetime import timedelta

from service.nests.due import DueKind
from service.rules.limit import Priority
from service.rules.nest_rules.said import CLEAR, BoxSeen, NestRule, Said, breached
from service.rules.nest_rules.words import HOUR, on_day
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "hide-due"


def judge(box: BoxSeen, numbers: Mapping[str, float]) -> Said:
    """By the days in which it goes in. An egg that may yet become a chick asks for none."""
    ahead = timedelta(hours=numbers["before_h"])
    dues = box.of_kind(DueKind.HIDE_IN)
    chicks = [one for one in box.residents if one.chick is not None and one.chick.fate is None]
    if not dues or not chicks or box.now < dues[0].until - ahead:
        return CLEAR
    out = dues[0].until + timedelta(days=box.species.hide_before_fledge.least)
    text = (
        f"{box.nest.box.name}: a youngster may come out from {on_day(out, box.zone)} on, and no "
        "place to hide is told. Put one on the floor of the cage, and tell it at the next look."
    )
    return breached(
        text,
        newest=dues[0].until - ahead,
        value=(out - box.now) / HOUR,
        setpoint=(out - dues[0].until + ahead) / HOUR,
    )


RULE = NestRule(
    settable=Settable(
        kind=KIND,
        name="Place to hide is due",
        says="Told before the first youngster may come out, while no place to hide is in.",
        needs="looks that tell of chicks",
        numbers=(
            Number(
                key="before_h",
                words="so many hours before the last day for it",
                unit="hours",
                usual=24,
                least=0,
                most=96,
            ),
        ),
    ),
    rationale=Rationale(
        cause="The first outing is near, and no place to hide was told.",
        consequence="A youngster that is out early sits on the floor in the open: it is chilled, "
        "or plucked by its parents.",
        response="Put a place to hide on the floor of the cage, and tell it at the next look.",
        respond_within=timedelta(days=1),
        priority=Priority.LOW,
        why_setpoint="It goes in two to seven days before the first is expected out; this is a "
        "day before the last of them.",
        source=COMMON_PRACTICE,
    ),
    judge=judge,
)
