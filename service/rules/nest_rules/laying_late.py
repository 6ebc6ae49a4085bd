"""The next egg is long in coming, while the clutch is still small: she may be unable to lay. Pure.

A hen that stops has either laid all she will, or an egg is stuck in her. Only the second is a
danger, and it kills within days; so this speaks while the clutch is smaller than a usual one.
"""

from collections.abc import Mapping
from datetime import timedelta

from service.nests.sitting import laid, laying_is_over
from service.nests.span import in_days
from service.rules.limit import Priority
from service.rules.nest_rules.said import CANNOT_TELL, CLEAR, BoxSeen, NestRule, Said, breached
from service.rules.nest_rules.words import DAY, at_time
from service.rules.rationale import COMMON_PRACTICE, Rationale
from service.rules.settable import Number, Settable

KIND = "laying-late"


def judge(box: BoxSeen, numbers: Mapping[str, float]) -> Said:
    """By a look after the time of the next egg. Cannot tell as long as there was none.

    It clears with the next egg, and when a look shows that laying is over.
    """
    nest, clutch, look = box.nest, box.nest.clutch, box.last_look
    if clutch is None or nest.pair is None or laying_is_over(nest, box.species):
        return CLEAR
    usual = box.species.next_egg_after_egg
    last = clutch.eggs[-1]
    late_from = laid(last).after(usual).until + timedelta(hours=numbers["over_h"])
    if len(clutch.eggs) >= _whole_clutch(box, numbers["eggs"]) or box.now < late_from:
        return CLEAR
    if look is None or look.at < late_from:
        return CANNOT_TELL
    text = (
        f"{nest.box.name}: egg {last.number} was laid {in_days(laid(last), box.zone)}, and no next "
        f"one is there at the look of {at_time(look.at, box.zone)}. Look at the hen now. If she is "
        "fluffed up or strains: warmth, quiet, and a vet today."
    )
    return breached(
        text,
        newest=late_from,
        value=(look.at - laid(last).until) / DAY,
        setpoint=usual.most + numbers["over_h"] / 24,
    )


def _whole_clutch(box: BoxSeen, usual: float) -> float:
    """So many eggs may be all: as many as usual, or as she laid last time where that was less."""
    before = box.nest.before
    return min(usual, len(before.eggs)) if before is not None and before.eggs else usual


RULE = NestRule(
    settable=Settable(
        kind=KIND,
        name="Next egg long in coming",
        says="Told when a look after the usual days shows no next egg, and the clutch is small.",
        needs="looks that tell of eggs",
        numbers=(
            Number(
                key="over_h",
                words="so many hours over the usual days",
                unit="hours",
                usual=12,
                least=0,
                most=48,
            ),
            Number(
                key="eggs",
                words="not from so many eggs on, which may be all",
                unit="eggs",
                usual=4,
                least=2,
                most=9,
            ),
        ),
    ),
    rationale=Rationale(
        cause="She stopped early, an egg is hidden or laid elsewhere, or one is stuck in her.",
        consequence="A hen that can't pass her egg dies within a day or two.",
        response="Look at the hen. If she is fluffed up, on the floor or straining, keep her warm "
        "and quiet, and ring a vet at once. Else look for a hidden egg.",
        respond_within=timedelta(hours=4),
        priority=Priority.MEDIUM,
        why_setpoint="Eggs come about every second day; half a day over the longest usual pause "
        "is no chance any more. A clutch is about five eggs.",
        source="Clutch of about 5: Indian Agricultural Statistics Research Institute, extension "
        f"e-course on pet birds; the rest: {COMMON_PRACTICE}",
        cautions=(
            "Never press or pull at an egg that is stuck, and give nothing by your own choice: "
            "that is a vet's work.",
            "A lamp for warmth can burn: hang it so that she can get away from it, and nothing "
            "near it can catch fire.",
        ),
    ),
    judge=judge,
)
