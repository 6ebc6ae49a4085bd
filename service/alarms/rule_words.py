"""The short words for an alarm of a rule that is no limit, by the kind before its colon. Pure.

Budgets of the wall: ``verdict`` 12 characters, ``state`` 12 (it stands after the name of a
place), ``advice`` 15. A rule that joins has its line here.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from service.rules.rationales import kind_of


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleWords:
    """``name`` is the rule's in a list of rules; ``verdict`` stands alone on the wall, ``state``
    follows a place ("Shed wet"), ``advice`` is what to do. ``silence``: the alarm says that
    something is not heard, which the wall tells from the sensors themselves.
    """

    name: str
    verdict: str
    state: str
    advice: str
    silence: bool = False


RULE_WORDS: Mapping[str, RuleWords] = {
    "overdue": RuleWords(
        name="A sensor is silent",
        verdict="Silent",
        state="silent",
        advice="look at it",
        silence=True,
    ),
    "overdue-together": RuleWords(
        name="Several sensors fell silent together",
        verdict="Silent",
        state="silent",
        advice="look at power",
        silence=True,
    ),
    "broker": RuleWords(
        name="No sensor can be heard",
        verdict="No broker",
        state="unheard",
        advice="look at power",
        silence=True,
    ),
    "twins": RuleWords(
        name="Two sensors have one name",
        verdict="Name twice",
        state="name twice",
        advice="rename one",
    ),
    "clock": RuleWords(
        name="A sensor's clock is wrong",
        verdict="Wrong clock",
        state="wrong clock",
        advice="set its clock",
    ),
    "box-unworked": RuleWords(
        name="Box open and not worked",
        verdict="Box unworked",
        state="unworked",
        advice="look at the box",
    ),
    "egg-unseen": RuleWords(
        name="Egg not in sight",
        verdict="Egg unseen",
        state="egg unseen",
        advice="feel for it",
    ),
    "deep-bedding": RuleWords(
        name="Eggs on deep bedding",
        verdict="Deep bedding",
        state="deep bedding",
        advice="take some out",
    ),
    "laying-late": RuleWords(
        name="Next egg long in coming",
        verdict="Egg is late",
        state="egg is late",
        advice="look at the hen",
    ),
    "hatch-late": RuleWords(
        name="Hatch overdue",
        verdict="Hatch late",
        state="hatch late",
        advice="candle the eggs",
    ),
    "chick-not-gaining": RuleWords(
        name="Chick not gaining",
        verdict="Thin chick",
        state="thin chick",
        advice="see its crop",
    ),
    "ring-closing": RuleWords(
        name="Ring window closing",
        verdict="Ring now",
        state="ring now",
        advice="put rings on",
    ),
    "hide-due": RuleWords(
        name="Place to hide is due",
        verdict="Hide is due",
        state="hide is due",
        advice="put one in",
    ),
    "duties-late": RuleWords(
        name="Duties overdue",
        verdict="Duties late",
        state="duties late",
        advice="see today",
    ),
    "backup-old": RuleWords(
        name="Backup too old",
        verdict="Old backup",
        state="old backup",
        advice="make a backup",
    ),
    "power-cut": RuleWords(
        name="Power cut",
        verdict="No power",
        state="no power",
        advice="look at fuses",
    ),
    "heater": RuleWords(
        name="The heater does not hold",
        verdict="No heat",
        state="no heat",
        advice="look at heater",
    ),
    "fast-fall": RuleWords(
        name="The shed cools fast",
        verdict="Cools fast",
        state="cools fast",
        advice="door, vents?",
    ),
    "condensation": RuleWords(
        name="Water on the coldest surface",
        verdict="Wet surface",
        state="wet surface",
        advice="air, wipe dry",
    ),
    "dark-by-day": RuleWords(
        name="Dark while the lamps should burn",
        verdict="Lamps out",
        state="lamps out",
        advice="look at lamps",
    ),
    "light-by-night": RuleWords(
        name="Light at night",
        verdict="Light on",
        state="light on",
        advice="dim the lamps",
    ),
    "day-shortened": RuleWords(
        name="The day became shorter at a stroke",
        verdict="Shorter day",
        state="shorter day",
        advice="look at timer",
    ),
    "stuck": RuleWords(
        name="A sensor is stuck",
        verdict="Stuck",
        state="stuck",
        advice="restart it",
    ),
    "failing": RuleWords(
        name="A sensor fails",
        verdict="Sensor fails",
        state="failing",
        advice="look at it",
    ),
    "battery": RuleWords(
        name="A sensor's battery is low",
        verdict="Battery low",
        state="battery low",
        advice="new battery",
    ),
}


def rule_words(rule: str) -> RuleWords | None:
    """The words of a rule's kind; None for a limit, or a kind that has none yet."""
    kind = kind_of(rule)
    return None if kind is None else RULE_WORDS.get(kind)


def is_silence(rule: str) -> bool:
    """Whether an alarm of this rule says that something is not heard."""
    words = rule_words(rule)
    return words is not None and words.silence
