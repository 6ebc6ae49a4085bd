"""The facts of a clutch that a keeper can correct, as text and back. Pure.

A fact may have parts ("hatched between two looks"): they are told, kept and undone together,
since one of them alone would say nothing. As text the parts stand in their order with ``;``
between them, times in ISO 8601, and nothing for what is not known.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from service.nests.book_correction import Subject
from service.nests.nest import Candling, ChickFate, EggFate


class PartKind(StrEnum):
    """How a part is written."""

    TIME = "a time"
    WORD = "one of some words"
    NUMBER = "a number"
    WHOLE = "a whole number"
    TEXT = "a text"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """``name`` is the field of the value that it is a part of; ``words`` are its choices."""

    name: str
    kind: PartKind
    label: str
    words: type[StrEnum] | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """``name`` is what people read, and what a correction calls it."""

    subject: Subject
    name: str
    parts: tuple[Part, ...]


def _time(name: str, label: str) -> Part:
    return Part(name=name, kind=PartKind.TIME, label=label)


def _word(name: str, label: str, words: type[StrEnum]) -> Part:
    return Part(name=name, kind=PartKind.WORD, label=label, words=words)


def _fact(subject: Subject, name: str, *parts: Part) -> Fact:
    return Fact(subject=subject, name=name, parts=parts)


FACTS: tuple[Fact, ...] = (
    _fact(Subject.CLUTCH, "sitting from", _time("sitting_from", "since")),
    _fact(Subject.CLUTCH, "hide in", _time("hide_in_at", "since")),
    _fact(Subject.CLUTCH, "round", Part(name="round", kind=PartKind.WHOLE, label="number")),
    _fact(
        Subject.EGG,
        "laid",
        _time("laid_from", "last look without it"),
        _time("laid_to", "first look with it"),
    ),
    _fact(
        Subject.EGG,
        "candling",
        _word("candling", "the light showed", Candling),
        _time("candled_at", "on"),
    ),
    _fact(
        Subject.EGG,
        "fate",
        _word("fate", "is", EggFate),
        _time("fate_from", "last look before"),
        _time("fate_to", "first look after"),
    ),
    _fact(
        Subject.EGG,
        "size",
        Part(name="length_mm", kind=PartKind.NUMBER, label="length", unit="mm"),
        Part(name="breadth_mm", kind=PartKind.NUMBER, label="breadth", unit="mm"),
    ),
    _fact(
        Subject.EGG,
        "egg",
        Part(name="number", kind=PartKind.WHOLE, label="number"),
        _time("laid_from", "last look without it"),
        _time("laid_to", "first look with it"),
        Part(name="length_mm", kind=PartKind.NUMBER, label="length", unit="mm"),
        Part(name="breadth_mm", kind=PartKind.NUMBER, label="breadth", unit="mm"),
    ),
    _fact(
        Subject.CHICK,
        "ring",
        Part(name="ring", kind=PartKind.TEXT, label="on the ring"),
        _time("ringed_at", "put on"),
    ),
    _fact(Subject.CHICK, "fate", _word("fate", "is", ChickFate), _time("fate_at", "on")),
    _fact(Subject.CHICK, "bird", Part(name="bird_id", kind=PartKind.WHOLE, label="bird")),
    _fact(
        Subject.MOVE,
        "move",
        Part(name="egg_id", kind=PartKind.WHOLE, label="egg"),
        _time("at", "on"),
        Part(name="from_box", kind=PartKind.TEXT, label="out of"),
        Part(name="to_box", kind=PartKind.TEXT, label="into"),
        Part(name="why", kind=PartKind.TEXT, label="why"),
        Part(name="by", kind=PartKind.TEXT, label="by"),
    ),
    _fact(
        Subject.WEIGHING,
        "mass",
        Part(name="mass_g", kind=PartKind.NUMBER, label="mass", unit="g"),
        _time("at", "on"),
        Part(name="egg_id", kind=PartKind.WHOLE, label="egg"),
        Part(name="bird_id", kind=PartKind.WHOLE, label="bird"),
        Part(name="by", kind=PartKind.TEXT, label="by"),
    ),
)

Value = tuple[object, ...]


def fact_of(subject: Subject, name: str) -> Fact:
    """The fact of that name.

    Raises:
        LookupError: there is none that can be corrected.
    """
    for fact in FACTS:
        if (fact.subject, fact.name) == (subject, name):
            return fact
    raise LookupError(f"{subject}: no {name!r} can be corrected")


def as_text(fact: Fact, value: Sequence[object]) -> str | None:
    """The parts as text; None where none of them is known."""
    if all(part is None for part in value):
        return None
    told = [_text(part) for part in value]
    return told[0] if len(fact.parts) == 1 else ";".join(map(_escaped, told))


def from_text(fact: Fact, text: str | None) -> Value:
    """What ``as_text`` wrote.

    Raises:
        ValueError: a part is missing or not of its kind; the message says which.
    """
    if text is None:
        return (None,) * len(fact.parts)
    told = [text] if len(fact.parts) == 1 else _split(text)
    if len(told) != len(fact.parts):
        raise ValueError(f"{fact.name}: {len(told)} parts instead of {len(fact.parts)}: {text!r}")
    return tuple(_read(part, one) for part, one in zip(fact.parts, told, strict=True))


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.isoformat()
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _read(part: Part, text: str) -> object:
    if not text:
        return None
    try:
        return _READ[part.kind](part, text)
    except ValueError as error:
        allowed = ", ".join(part.words) if part.words else part.kind.value
        raise ValueError(f"{part.label}: {text!r} is not {allowed}") from error


def _when(_: Part, text: str) -> datetime:
    at = datetime.fromisoformat(text)
    if at.tzinfo is None:
        raise ValueError("no time zone")
    return at


def _one_of(part: Part, text: str) -> StrEnum:
    assert part.words is not None  # noqa: S101 - every part that is a word has them
    return part.words(text)


_READ: dict[PartKind, Callable[[Part, str], object]] = {
    PartKind.TIME: _when,
    PartKind.WORD: _one_of,
    PartKind.NUMBER: lambda _, text: float(text),
    PartKind.WHOLE: lambda _, text: int(text),
    PartKind.TEXT: lambda _, text: text,
}


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace(";", "\\;")


def _split(text: str) -> list[str]:
    parts, escaped = [""], False
    for letter in text:
        if escaped or letter not in "\\;":
            parts[-1] += letter
            escaped = False
        elif letter == "\\":
            escaped = True
        else:
            parts.append("")
    return parts
