"""A chick that will soon be too old for a closed ring. Pure."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from service.rules.limit import Priority
from service.rules.nest_rules.said import CLEAR, RAN_OUT, BoxSeen, NestRule, Said, breached
from service.rules.nest_rules.words import all_of, at_time
from service.rules.rationale import Rationale
from service.rules.settable import Number, Settable

KIND = "ring-closing"

TOO_LATE_AFTER = timedelta(days=1)
"""So long after its last day nothing can be done any more, and nothing is asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Closing:
    """``closes_at`` is when it may be too old at the earliest, ``over_at`` when it surely is."""

    words: str
    closes_at: datetime
    over_at: datetime


def judge(box: BoxSeen, numbers: Mapping[str, float]) -> Said:
    """By the age that a chick may have at most. What was ringed, or left, closes nothing."""
    ahead = timedelta(hours=numbers["before_h"])
    now = box.now
    without = list(_closing(box))
    closing = [one for one in without if one.closes_at - ahead <= now < one.over_at]
    if not closing:
        return RAN_OUT if any(one.over_at <= now for one in without) else CLEAR
    first = min(one.closes_at for one in closing)
    told = all_of("chick", [one.words for one in closing])
    usual = box.species.ring_after_hatch.most
    when = "It may be too late already" if first <= now else f"By {at_time(first, box.zone)}"
    text = (
        f"{box.nest.box.name}: ring {told} at this visit. {when}: after {usual:g} days a closed "
        "ring may not pass over the foot."
    )
    return breached(
        text,
        newest=max(one.closes_at for one in closing) - ahead,
        value=(first - now) / timedelta(hours=1),
        setpoint=numbers["before_h"],
    )


def _closing(box: BoxSeen) -> Iterator[_Closing]:
    usual = timedelta(days=box.species.ring_after_hatch.most)
    for one in box.residents:
        chick = one.chick
        if chick is not None and chick.fate is None and chick.ring is None:
            yield _Closing(
                words=one.words("chick"),
                closes_at=chick.hatched_from + usual,
                over_at=chick.hatched_to + usual + TOO_LATE_AFTER,
            )


RULE = NestRule(
    settable=Settable(
        kind=KIND,
        name="Ring window closing",
        says="Told before a chick without a ring may be too old for a closed one.",
        needs="looks that tell of chicks",
        numbers=(
            Number(
                key="before_h",
                words="so many hours before",
                unit="hours",
                usual=12,
                least=6,
                most=96,
            ),
        ),
    ),
    rationale=Rationale(
        cause="The days for a ring are few, and the chick has none yet.",
        consequence="A closed ring does not pass over the foot any more, and nobody can prove "
        "when and where the bird was bred.",
        response="Put the ring on at this visit, or tell the ring if it wears one.",
        respond_within=timedelta(hours=12),
        priority=Priority.LOW,
        why_setpoint="Today's list asks for it for days; this is the last visit or two. The days "
        "are those of the species' settings.",
        source="Ring at 9 to 10 days: Indian Agricultural Statistics Research Institute, extension "
        "e-course on pet birds",
        cautions=("A ring that needs force is too late: do not press a joint through it.",),
    ),
    judge=judge,
)
