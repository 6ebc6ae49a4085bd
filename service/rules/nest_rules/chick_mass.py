"""A chick that has not gained between two weighings. Pure.

No published growth curve of this species was found to hold a chick to; so it is held to itself:
a chick that grows weighs more each day, until it loses again before it leaves the box.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from service.nests.nest import Chick
from service.nests.weighing import Weighing
from service.rules.limit import Priority
from service.rules.nest_rules.said import CANNOT_TELL, CLEAR, BoxSeen, NestRule, Said, breached
from service.rules.nest_rules.words import DAY, HOUR, at_time
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "chick-not-gaining"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Growth:
    """Of one chick: its last mass, and the last before it that is old enough to compare with."""

    words: str
    before: Weighing
    last: Weighing

    @property
    def gain_g_a_day(self) -> float:
        return (self.last.mass_g - self.before.mass_g) / ((self.last.at - self.before.at) / DAY)


def judge(box: BoxSeen, numbers: Mapping[str, float]) -> Said:
    """By hand weighings of the chicks in this box that are young enough.

    Cannot tell where no chick was weighed twice, so far apart. It clears with a later weighing
    that has gained, and when no such chick is left.
    """
    young = [
        (one.words("chick"), one.chick, box.weighings.get(one.egg.id, ()))
        for one in box.residents
        if one.chick is not None and _is_young(one.chick, box.now, numbers["until_d"])
    ]
    if not young:
        return CLEAR
    apart = timedelta(hours=numbers["apart_h"])
    grown = [_growth(words, chick, told, apart) for words, chick, told in young]
    known = [one for one in grown if one is not None]
    least = numbers["least_g"]
    thin = [one for one in known if one.gain_g_a_day < least]
    if not thin:
        return CLEAR if known and len(known) == len(young) else CANNOT_TELL
    return breached(
        _text(box, thin),
        newest=max(one.last.at for one in thin),
        value=round(min(one.gain_g_a_day for one in thin), 2),
        setpoint=least,
    )


def _is_young(chick: Chick, now: datetime, until_d: float) -> bool:
    return chick.fate is None and now - chick.hatched_from <= until_d * DAY


def _growth(words: str, chick: Chick, told: Sequence[Weighing], apart: timedelta) -> _Growth | None:
    masses = [one for one in told if one.at >= chick.hatched_to]
    if not masses:
        return None
    last = masses[-1]
    earlier = [one for one in masses if last.at - one.at >= apart]
    return _Growth(words=words, before=earlier[-1], last=last) if earlier else None


def _text(box: BoxSeen, thin: Sequence[_Growth]) -> str:
    worst = min(thin, key=lambda one: one.gain_g_a_day)
    hours = (worst.last.at - worst.before.at) / HOUR
    more = "" if len(thin) == 1 else f" {len(thin) - 1} more in this box likewise."
    return (
        f"{box.nest.box.name}: {worst.words} hardly gains: {worst.last.mass_g:g} g at "
        f"{at_time(worst.last.at, box.zone)}, {worst.before.mass_g:g} g {hours:.0f} h before."
        f"{more} Look whether its crop is filled and it lies warm."
    )


RULE = NestRule(
    settable=Settable(
        kind=KIND,
        name="Chick not gaining",
        says="Told when a young chick weighs hardly more than it did about a day before.",
        needs="chicks that are weighed by hand",
        numbers=(
            Number(
                key="least_g",
                words="a gain of less than so many grams a day",
                unit="g",
                usual=0.3,
                least=0.1,
                most=2,
            ),
            Number(
                key="apart_h",
                words="between weighings at least so many hours apart",
                unit="hours",
                usual=18,
                least=6,
                most=48,
            ),
            Number(
                key="until_d",
                words="until so many days old",
                unit="days",
                usual=20,
                least=5,
                most=25,
            ),
        ),
    ),
    rationale=Rationale(
        cause="It is the last and is pushed away from food, its parents feed too little, it is "
        "cold, or it is ill.",
        consequence="A small chick that is not fed dies within a day.",
        response="Look whether its crop is filled and whether it lies warm among the others. Give "
        "the parents more soft food. Ask a vet when it stays empty or looks ill.",
        respond_within=timedelta(hours=4),
        priority=Priority.MEDIUM,
        why_setpoint="Even in its first days a chick gains over half a gram a day. A full crop "
        "weighs as much, so that masses are compared that lie most of a day apart; older chicks "
        "lose before they leave the box.",
        source=COMMON_PRACTICE,
        cautions=("Feeding a chick by hand can drown it: let somebody show you who has done it.",),
    ),
    judge=judge,
)
