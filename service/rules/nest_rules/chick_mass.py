"""A chick that has not gained between two weighings. Pure.

There are no published growth curves for this species to hold a chick to; so it is held to
itself: a chick that grows weighs more each day, until it loses again before it leaves the box.
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
    def gained_g(self) -> float:
        return self.last.mass_g - self.before.mass_g


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
    # Two masses of a balance that shows tenths are never told apart below that.
    thin = [one for one in known if one.gained_g < _LEAST_GAIN_G]
    if not thin:
        return CLEAR if known and len(known) == len(young) else CANNOT_TELL
    return breached(
        _text(box, thin),
        newest=max(one.last.at for one in thin),
        value=round(min(one.gained_g for one in thin), 3),
        setpoint=_LEAST_GAIN_G,
    )


_LEAST_GAIN_G = 0.1


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
    worst = min(thin, key=lambda one: one.gained_g)
    hours = (worst.last.at - worst.before.at) / HOUR
    more = "" if len(thin) == 1 else f" {len(thin) - 1} more in this box likewise."
    return (
        f"{box.nest.box.name}: {worst.words} does not gain: {worst.last.mass_g:g} g at "
        f"{at_time(worst.last.at, box.zone)}, {worst.before.mass_g:g} g {hours:.0f} h before."
        f"{more} Look whether its crop is filled and it lies warm."
    )


RULE = NestRule(
    settable=Settable(
        kind=KIND,
        name="Chick not gaining",
        says="Told when a young chick weighs no more than it did about a day before.",
        needs="chicks that are weighed by hand",
        numbers=(
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
        why_setpoint="A full crop weighs more than half a day's growth, so that masses are "
        "compared that lie most of a day apart; older chicks lose before they leave the box.",
        source=COMMON_PRACTICE,
        cautions=("Feeding a chick by hand can drown it: let somebody show you who has done it.",),
    ),
    judge=judge,
)
