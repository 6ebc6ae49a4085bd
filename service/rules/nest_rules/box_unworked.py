"""A pair is up, its box is open, and the hen does not work in it. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import timedelta
from itertools import pairwise

from service.nests.nest import BeddingLevel, HenSeen, Nest, NestCheck
from service.nests.stage import Stage, stage
from service.nests.visits import day_began
from service.rules.limit import Priority
from service.rules.nest_rules.said import CANNOT_TELL, CLEAR, BoxSeen, NestRule, Said, breached
from service.rules.nest_rules.words import DAY, at_time, on_day
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "box-unworked"

_LEVELS = tuple(BeddingLevel)
_AT_WORK = (HenSeen.SITTING, HenSeen.IN_BOX)


def judge(box: BoxSeen, numbers: Mapping[str, float]) -> Said:
    """By the looks since the pair was put up that tell of the hen or of bedding: the first counts
    as when the box was open.

    Cannot tell where no two did. A pair that has laid in this box has worked in it.
    """
    nest = box.nest
    if not _waits_for_work(box):
        return CLEAR
    looks = _looks_of_the_pair(box)
    if len(looks) < 2:
        return CANNOT_TELL
    passed = looks[-1].at - looks[0].at
    allowed = timedelta(days=numbers["after_d"])
    if passed < allowed or any(_signs(looks)):
        return CLEAR
    text = (
        f"{nest.box.name}: no sign since {on_day(looks[0].at, box.zone)} that the hen works in "
        f"it, last look {at_time(looks[-1].at, box.zone)}. See that her way in is free, and feel "
        "under the bedding for hidden eggs."
    )
    return breached(
        text, newest=looks[0].at + allowed, value=passed / DAY, setpoint=numbers["after_d"]
    )


def _waits_for_work(box: BoxSeen) -> bool:
    nest = box.nest
    if nest.pair is None or nest.off_since is not None:
        return False
    has_laid = nest.clutch is not None and nest.clutch.pair_id == nest.pair.id
    return not has_laid and stage(nest, box.now, box.species) is Stage.PAIRED


def _looks_of_the_pair(box: BoxSeen) -> Sequence[NestCheck]:
    nest: Nest = box.nest
    if nest.pair is None:
        return ()
    since = day_began(nest.pair.put_up_on, box.zone)
    return [check for check in nest.checks if check.at >= since and _tells(check)]


def _tells(look: NestCheck) -> bool:
    """A look that tells neither of the hen nor of bedding is no look for work."""
    return look.bedding is not None or look.hen is not HenSeen.NOT_SEEN or look.eggs > 0


def _signs(looks: Sequence[NestCheck]) -> Iterator[bool]:
    """That she was in it, or threw bedding out: as told, or less of it than at the look before."""
    for look in looks:
        thrown = look.bedding is not None and look.bedding.thrown_out
        yield thrown or look.hen in _AT_WORK or look.eggs > 0
    levels = [look for look in looks if look.bedding is not None and look.bedding.level]
    for before, after in pairwise(levels):
        yield _less(before, after)


def _less(before: NestCheck, after: NestCheck) -> bool:
    """Less bedding than before, and the keeper took none out."""
    one, other = before.bedding, after.bedding
    if one is None or other is None or one.level is None or other.level is None:
        return False
    taken = one.taken_out or other.taken_out
    return not taken and _LEVELS.index(other.level) < _LEVELS.index(one.level)


RULE = NestRule(
    settable=Settable(
        kind=KIND,
        name="Box open and not worked",
        says="Told when a pair's box was looked into for so many days and nothing shows that "
        "the hen works in it.",
        needs="a pair that is put up, and looks into its box",
        numbers=(
            Number(
                key="after_d", words="after so many days", unit="days", usual=14, least=5, most=60
            ),
        ),
    ),
    rationale=Rationale(
        cause="The pair is not ready, does not agree, or does not like the box or its place.",
        consequence="The season goes by without a clutch; a hen that does not work in the box "
        "may lay into deep bedding or from the perch, and such eggs are lost.",
        response="See that her way in is free and the box sits firmly. Feel under the bedding for "
        "hidden eggs. Watch whether the two feed each other before you pair anew.",
        respond_within=timedelta(days=3),
        priority=Priority.LOW,
        why_setpoint="A pair in condition begins within a week or two.",
        source=COMMON_PRACTICE,
    ),
    judge=judge,
)
