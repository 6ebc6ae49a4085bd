"""Every rule, and why it is there: the rationalization as a table to print. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass

from dashboards.views.rule_names import kind_name, limit_name
from service.alarms.suppression import in_words
from service.rules.limit import Limit, Priority
from service.rules.limit_rationales import rationale_of_limit
from service.rules.rationale import Rationale
from service.rules.rationales import RATIONALES
from service.rules.settable import Number
from service.rules.settables import BY_KIND
from service.settings.settings import Settings

PRIORITY_WORDS = {Priority.HIGH: "act now", Priority.MEDIUM: "watch", Priority.LOW: "noted"}
_SO_MANY = "so many"
_URGENT_FIRST = (Priority.HIGH, Priority.MEDIUM, Priority.LOW)


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyRow:
    """One rule, or limits of the same kind together. ``speaks`` says when, a line each;
    ``off`` says that it is switched off.
    """

    id: str
    name: str
    speaks: tuple[str, ...]
    priority: str
    cause: str
    consequence: str
    response: str
    within: str
    why_setpoint: str
    source: str
    cautions: tuple[str, ...]
    off: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyView:
    """``counts`` says how many are of each priority, for most should be low and few high."""

    rows: tuple[WhyRow, ...]
    counts: str
    no_limits: bool


def why_view(settings: Settings) -> WhyView:
    """All rules that are set now, and those that may be: urgent ones first."""
    found = sorted((*_limits(settings), *_kinds(settings)), key=lambda one: one[0])
    rows = tuple(row for _, row in found)
    numbers = [
        f"{sum(row.priority == PRIORITY_WORDS[one] for row in rows)} {PRIORITY_WORDS[one]}"
        for one in _URGENT_FIRST
    ]
    return WhyView(rows=rows, counts=", ".join(numbers), no_limits=not settings.limits)


def _limits(settings: Settings) -> Iterator[tuple[int, WhyRow]]:
    """Limits that share a rationale and a priority share a row."""
    together: dict[tuple[int, Priority], list[Limit]] = {}
    for limit in settings.limits:
        key = (id(rationale_of_limit(limit)), limit.priority)
        together.setdefault(key, []).append(limit)
    for (_, priority), limits in together.items():
        first = limits[0]
        row = _row(
            rationale_of_limit(first),
            priority,
            rule=first.id,
            name=_limit_kind(first),
            speaks=tuple(_speaks(limit, settings) for limit in limits),
        )
        yield _URGENT_FIRST.index(priority), row


def _limit_kind(limit: Limit) -> str:
    names = {"temperature": ("Too cold", "Too hot"), "relative_humidity": ("Too dry", "Too damp")}
    low, high = names.get(
        limit.quantity.value,
        tuple(f"{limit.quantity.value.replace('_', ' ')} too {side}" for side in ("low", "high")),
    )
    told = low if limit.low is not None else high
    return told[0].upper() + told[1:]


def _speaks(limit: Limit, settings: Settings) -> str:
    delay = f", for {in_words(limit.on_delay)}" if limit.on_delay else ""
    return f"{limit_name(limit, settings)}{delay}"


def number_in_words(number: Number, value: float) -> str:
    """``after 30 minutes``, from "after so many minutes"."""
    at = number.words.lower().find(_SO_MANY)
    if at < 0:
        unit = number.unit if number.unit.startswith("°") else f" {number.unit}"
        return f"{number.words}: {value:g}{unit}".rstrip()
    before, after = number.words[:at], number.words[at + len(_SO_MANY) :]
    thing, space, rest = after.lstrip().partition(" ")
    if value == 1:
        thing = thing.removesuffix("s")
    return f"{before}{value:g} {thing}{space}{rest}"


def _kinds(settings: Settings) -> Iterator[tuple[int, WhyRow]]:
    for kind, rationale in RATIONALES.items():
        settable = BY_KIND.get(kind)
        speaks: tuple[str, ...] = ()
        off = False
        if settable is not None:
            numbers = [
                _sentence(number_in_words(one, settings.rules.number(kind, one.key)))
                for one in settable.numbers
            ]
            speaks = (settable.says, *numbers, f"Needs {settable.needs}.")
            off = not settings.rules.is_on(kind)
        row = _row(
            rationale,
            rationale.priority,
            rule=kind,
            name=kind_name(kind) or kind,
            speaks=speaks,
            off=off,
        )
        yield _URGENT_FIRST.index(rationale.priority), row


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def _row(
    why: Rationale,
    priority: Priority,
    *,
    rule: str,
    name: str,
    speaks: tuple[str, ...],
    off: bool = False,
) -> WhyRow:
    return WhyRow(
        id=rule,
        name=name,
        speaks=speaks,
        priority=PRIORITY_WORDS[priority],
        cause=why.cause,
        consequence=why.consequence,
        response=why.response,
        within=in_words(why.respond_within),
        why_setpoint=why.why_setpoint,
        source=why.source,
        cautions=why.cautions,
        off=off,
    )
