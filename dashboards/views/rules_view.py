"""The rules that are no limits, each as a small form: on or off, and its numbers. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from dashboards.views.limit_form import read_number
from service.alarms.alarm import Alarm
from service.rules.rationale import Rationale
from service.rules.rationales import RATIONALES, kind_of
from service.rules.settable import Number, Settable
from service.rules.settables import SETTABLES
from service.settings.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberField:
    """One number of a rule, with its bounds and what is usual."""

    number: Number
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleThere:
    """A rule of a kind at one place or sensor; ``away`` says why it is out of service."""

    rule: str
    words: str
    away: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleLine:
    """A kind of rule; ``is_changed``: something of it is not as usual; ``is_open``: it was just
    sent, and comes back with a fault. ``there`` are its rules that speak now, or are out of
    service.
    """

    settable: Settable
    fields: tuple[NumberField, ...]
    is_on: bool
    is_changed: bool
    is_open: bool
    in_file: bool
    rationale: Rationale | None
    there: tuple[RuleThere, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadRule:
    """What was typed of a rule: ``numbers`` are those that are not as usual, ``wrong`` its
    faults in words.
    """

    is_on: bool
    numbers: Mapping[str, float]
    wrong: tuple[str, ...]


def rule_lines(
    settings: Settings,
    alarms: Sequence[Alarm],
    away: Mapping[str, str],
    *,
    typed: Mapping[str, str] | None = None,
    kind: str | None = None,
) -> tuple[RuleLine, ...]:
    """All kinds in their order. ``alarms`` are those that are open, ``away`` the rules out of
    service with the reason; ``typed`` is what was sent of the rule of that ``kind``.
    """
    names = {place.id: place.name for place in settings.places}
    there: dict[str, RuleThere] = {}
    for rule in (*(alarm.rule for alarm in alarms if alarm.state.active), *away):
        subject = rule.partition(":")[2]
        there[rule] = RuleThere(rule=rule, words=names.get(subject, subject), away=away.get(rule))
    return tuple(
        _line(
            one,
            settings,
            typed if typed is not None and one.kind == kind else {},
            tuple(rule for rule in there.values() if kind_of(rule.rule) == one.kind),
        )
        for one in SETTABLES
    )


def read_rule(settable: Settable, typed: Mapping[str, str]) -> ReadRule:
    """Every number within its bounds, or every fault in words."""
    numbers: dict[str, float] = {}
    wrong = []
    for number in settable.numbers:
        text = typed.get(number.key, "").strip()
        read = read_number(text)
        if read is None or read[1] not in ("", number.unit) or not _within(read[0], number):
            told = f"{number.least:g} to {number.most:g} {number.unit}"
            wrong.append(f"{settable.name}, {number.words} {text[:20]}: allowed is {told}.")
        elif read[0] != number.usual:
            numbers[number.key] = read[0]
    # What says neither must not switch off what watches over birds.
    if typed.get("on") not in ("yes", "no"):
        wrong.append(f"{settable.name}: say whether it is on or off.")
    return ReadRule(is_on=typed.get("on") == "yes", numbers=numbers, wrong=tuple(wrong))


def _within(value: float, number: Number) -> bool:
    return number.least <= value <= number.most


def _line(
    settable: Settable,
    settings: Settings,
    typed: Mapping[str, str],
    there: tuple[RuleThere, ...],
) -> RuleLine:
    rules, kind = settings.rules, settable.kind
    fields = tuple(
        NumberField(
            number=number,
            value=typed.get(number.key, f"{rules.number(kind, number.key):g}"),
        )
        for number in settable.numbers
    )
    return RuleLine(
        settable=settable,
        fields=fields,
        is_on=typed["on"] == "yes" if "on" in typed else rules.is_on(kind),
        is_changed=kind in rules.told,
        is_open=bool(typed),
        in_file=("rule", kind) in settings.fixed,
        rationale=RATIONALES.get(kind),
        there=there,
    )
