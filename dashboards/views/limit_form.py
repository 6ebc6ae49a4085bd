"""One limit as a form: what was typed, read back as a limit, with every fault in words. Pure."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import timedelta
from enum import StrEnum
from typing import TypeVar

from dashboards.as_shown import mark_of
from dashboards.views.limit_words import DURING_WORDS, PRIORITY_WORDS, STAYS_WORDS, WHEN_WORDS
from devices.reading import Quantity
from service.quality.judge import SPANS
from service.rules.limit import During, Limit, Priority, When

LONGEST_MIN = 7 * 24 * 60
_NUMBER = re.compile(
    r"(?P<number>[-\N{MINUS SIGN}]?\d{1,6}(?:[.,]\d{1,3})?)\s*(?P<unit>\S{0,8})", re.ASCII
)
_UNITS: Mapping[Quantity, tuple[str, ...]] = {Quantity.TEMPERATURE: ("°C", "°", "C")}
_DEADBANDS: Mapping[Quantity, float] = {
    Quantity.TEMPERATURE: 0.5,
    Quantity.RELATIVE_HUMIDITY: 3.0,
    Quantity.BATTERY: 5.0,
    Quantity.BATTERY_VOLTAGE: 0.1,
    Quantity.CO2: 100.0,
    Quantity.SIGNAL: 3.0,
}
"""Of a new limit: as the built-in ones have it, else common practice, no source."""

_Word = TypeVar("_Word", bound=StrEnum)
_Text = TypeVar("_Text", bound=str)


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a limit is on; that never changes. ``is_low``: it speaks when the value is under it."""

    place: str
    quantity: Quantity
    is_low: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitForm:
    """As typed."""

    setpoint: str
    deadband: str
    on_min: str
    off_min: str
    when: str = When.ALWAYS
    during: str = During.ALWAYS
    priority: str = Priority.MEDIUM
    stays: str = "no"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One of several words to choose."""

    value: str
    words: str
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """What can be chosen for a limit."""

    when: tuple[Choice, ...]
    during: tuple[Choice, ...]
    priority: tuple[Choice, ...]
    stays: tuple[Choice, ...]


def subject_of(limit: Limit) -> Subject:
    """What a limit is on."""
    return Subject(place=limit.place, quantity=limit.quantity, is_low=limit.low is not None)


def limit_form(limit: Limit) -> LimitForm:
    """The form as it is first shown."""
    return LimitForm(
        setpoint=f"{limit.setpoint:g}",
        deadband=f"{limit.deadband:g}",
        on_min=_minutes(limit.on_delay),
        off_min=_minutes(limit.off_delay),
        when=limit.when,
        during=limit.during,
        priority=limit.priority,
        stays="yes" if limit.latching else "no",
    )


def new_limit_form(subject: Subject) -> LimitForm:
    """Without a setpoint: that is the keeper's to say. The rest is a start."""
    deadband = f"{_DEADBANDS.get(subject.quantity, 0.0):g}"
    return LimitForm(setpoint="", deadband=deadband, on_min="10", off_min="15")


def typed_limit(told: Mapping[str, str]) -> LimitForm:
    """The form as it was sent."""
    return LimitForm(**{one.name: told.get(one.name, "").strip() for one in fields(LimitForm)})


def form_key(form: LimitForm) -> str:
    """Says which terms were worked out on the page, so that others are worked out first."""
    return mark_of(form)


def choices_of(form: LimitForm) -> Choices:
    """What can be chosen, with what was."""
    return Choices(
        when=_choices(WHEN_WORDS, form.when),
        during=_choices(DURING_WORDS, form.during),
        priority=_choices(PRIORITY_WORDS, form.priority),
        stays=_choices(STAYS_WORDS, form.stays),
    )


def bounds_of(quantity: Quantity) -> tuple[float, float]:
    """Within which a setpoint may lie: where readings pass."""
    return SPANS[quantity].usual


def read_limit(form: LimitForm, subject: Subject, limit_id: str) -> Limit | tuple[str, ...]:
    """The limit that was typed, or every fault in words."""
    wrong: list[str] = []
    unit = subject.quantity.unit
    bounds = bounds_of(subject.quantity)
    setpoint = _value("Setpoint", form.setpoint, subject.quantity, bounds, wrong)
    room = (0.0, bounds[1] - bounds[0])
    deadband = _value("Back by", form.deadband, subject.quantity, room, wrong)
    delays = [
        _delay(name, text, wrong)
        for name, text in (("For", form.on_min), ("Over after", form.off_min))
    ]
    when = _word(When, "When", form.when, wrong)
    during = _word(During, "In which part of the year", form.during, wrong)
    priority = _word(Priority, "How urgent", form.priority, wrong)
    if form.stays not in STAYS_WORDS:
        wrong.append("Once it is over: choose one of those shown.")
    if setpoint is None or deadband is None:
        return tuple(wrong)
    back = setpoint + deadband if subject.is_low else setpoint - deadband
    if not bounds[0] <= back <= bounds[1]:
        span = f"{bounds[0]:g} to {bounds[1]:g} {unit}"
        wrong.append(f"Back by {deadband:g}: then it is over at {back:g}, and {span} is allowed.")
    if wrong or when is None or during is None or priority is None:
        return tuple(wrong)
    return Limit(
        id=limit_id,
        place=subject.place,
        quantity=subject.quantity,
        when=when,
        during=during,
        low=setpoint if subject.is_low else None,
        high=None if subject.is_low else setpoint,
        deadband=deadband,
        on_delay=delays[0],
        off_delay=delays[1],
        priority=priority,
        latching=form.stays == "yes",
    )


def new_id(subject: Subject, taken: Sequence[str]) -> str:
    """``shed-temperature-low``, or with a number behind it where there is one already."""
    side = "low" if subject.is_low else "high"
    word = subject.quantity.value.replace("_", "-")
    stem = f"{subject.place[:28]}-{word}"[:25].rstrip("-")
    names = (f"{stem}-{side}{'' if nth == 1 else nth}" for nth in range(1, len(taken) + 2))
    return next(name for name in names if name not in taken)


def read_number(text: str) -> tuple[float, str] | None:
    """A number as people write it, and the unit behind it; None where it is no number."""
    match = _NUMBER.fullmatch(text.strip())
    if match is None:
        return None
    number = match["number"].replace(",", ".").replace("\N{MINUS SIGN}", "-")
    return float(number), match["unit"]


def _minutes(span: timedelta) -> str:
    return f"{round(span.total_seconds() / 60, 3):g}"


def _value(
    what: str, text: str, quantity: Quantity, bounds: tuple[float, float], wrong: list[str]
) -> float | None:
    read = read_number(text)
    span = f"{bounds[0]:g} to {bounds[1]:g} {quantity.unit}"
    shown = text[:20] or "nothing"
    if read is None:
        wrong.append(f"{what} {shown}: a number is needed, {span}.")
        return None
    number, unit = read
    if unit and unit not in _UNITS.get(quantity, (quantity.unit,)):
        wrong.append(f"{what} {shown}: give it in {quantity.unit}, {span}.")
        return None
    if not bounds[0] <= number <= bounds[1]:
        wrong.append(f"{what} {shown}: allowed is {span}.")
        return None
    return number


def _delay(what: str, text: str, wrong: list[str]) -> timedelta:
    read = read_number(text)
    if read is None or read[1] not in ("", "min") or not 0 <= read[0] <= LONGEST_MIN:
        shown = text[:20] or "nothing"
        wrong.append(f"{what} {shown}: allowed are 0 to {LONGEST_MIN} minutes (7 days).")
        return timedelta(0)
    return timedelta(minutes=read[0])


def _word(words: type[_Word], what: str, text: str, wrong: list[str]) -> _Word | None:
    try:
        return words(text)
    except ValueError:
        wrong.append(f"{what}: choose one of those shown.")
        return None


def _choices(words: Mapping[_Text, str], chosen: str) -> tuple[Choice, ...]:
    return tuple(
        Choice(value=str(word), words=told, chosen=word == chosen) for word, told in words.items()
    )
