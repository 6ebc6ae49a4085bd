"""The form on which the facts of one egg, chick, move, mass or round are put right. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.typed_time import typed_time
from service.errors import InputError
from service.nests.book_correction import Subject
from service.nests.facts import Fact, Part, PartKind, Value, as_text
from service.nests.place import Place
from service.nests.typed_text import LONGEST_RING, LONGEST_WHY, note_fault, text_fault

_UNASKED = ("egg_id", "bird_id", "by")


@dataclass(frozen=True, slots=True, kw_only=True)
class PartField:
    """``was`` is what the form was served with: only what differs from it is a correction."""

    name: str
    label: str
    kind: str
    value: str
    was: str
    choices: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FactPart:
    """The fields of one fact."""

    name: str
    fields: tuple[PartField, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectFormView:
    """``take_back`` is what is said on the button that takes the whole subject back, or empty;
    ``bird`` where a chick can become a bird.
    """

    box: str
    title: str
    address: str
    facts: tuple[FactPart, ...]
    why: str
    take_back: str
    bird: str
    wrong: str | None = None


_TAKE_BACK = {
    Subject.EGG: "There never was such an egg",
    Subject.MOVE: "It was never moved so",
    Subject.WEIGHING: "It was never weighed so",
}


def correct_form(
    place: Place,
    title: str,
    facts: Mapping[Fact, Value],
    *,
    address: str,
    boxes: Sequence[Place],
    zone: ZoneInfo,
    bird: bool = False,
    sent: Mapping[str, str] | None = None,
    wrong: str | None = None,
) -> CorrectFormView:
    """As the facts stand, or as it was sent and came back."""
    subject = next(iter(facts)).subject
    return CorrectFormView(
        box=place.id,
        title=title,
        address=address,
        facts=tuple(
            FactPart(name=fact.name, fields=_fields(fact, value, boxes, zone, sent or {}))
            for fact, value in facts.items()
        ),
        why=(sent or {}).get("why", ""),
        take_back=_TAKE_BACK.get(subject, ""),
        bird=f"{address}/bird" if bird else "",
        wrong=wrong,
    )


def _fields(
    fact: Fact, value: Value, boxes: Sequence[Place], zone: ZoneInfo, sent: Mapping[str, str]
) -> tuple[PartField, ...]:
    found = []
    for part, one in zip(fact.parts, value, strict=True):
        if part.name in _UNASKED:
            continue
        name = _name(fact, part)
        shown = _shown(one, zone)
        found.append(
            PartField(
                name=name,
                label=part.label if not part.unit else f"{part.label}, {part.unit}",
                kind=part.kind.name.lower(),
                value=sent.get(name, shown),
                was=sent.get(f"was.{name}", shown),
                choices=_choices(part, boxes),
            )
        )
    return tuple(found)


def _choices(part: Part, boxes: Sequence[Place]) -> tuple[tuple[str, str], ...]:
    if part.words is not None:
        return tuple((word, word) for word in part.words)
    if part.name.endswith("_box"):
        return tuple((box.id, box.name) for box in boxes)
    return ()


def corrections_sent(
    facts: Mapping[Fact, Value], sent: Mapping[str, str], zone: ZoneInfo
) -> dict[str, str | None]:
    """The facts that were changed on the form, as text.

    A part that was left as it was served keeps what the book holds: a form shows minutes.

    Raises:
        InputError: a field is not what it should be; the message says which.
    """
    changed: dict[str, str | None] = {}
    for fact, value in facts.items():
        parts = [
            _sent_part(fact, part, one, sent, zone)
            for part, one in zip(fact.parts, value, strict=True)
        ]
        if parts != list(value):
            changed[fact.name] = as_text(fact, parts)
    return changed


def _sent_part(
    fact: Fact, part: Part, standing: object, sent: Mapping[str, str], zone: ZoneInfo
) -> object:
    name = _name(fact, part)
    told = None if part.name in _UNASKED else sent.get(name)
    if told is None or told.strip() == sent.get(f"was.{name}", _shown(standing, zone)).strip():
        return standing
    return _read(part, told.strip(), zone) if told.strip() else _nothing(part)


def _nothing(part: Part) -> object:
    """A move without a reason has an empty one."""
    return "" if part.name == "why" else None


def _read(part: Part, told: str, zone: ZoneInfo) -> object:
    if part.kind is PartKind.TIME:
        return _time(part, told, zone)
    if part.kind is PartKind.TEXT:
        return _text(part, told)
    try:
        if part.kind is PartKind.NUMBER:
            return float(told.replace(",", "."))
        return part.words(told) if part.words else int(told)
    except ValueError as error:
        allowed = " or ".join(part.words) if part.words else part.kind.value
        raise InputError(f"{part.label}: {told[:40]!r} is not {allowed}.") from error


def _time(part: Part, told: str, zone: ZoneInfo) -> datetime:
    try:
        return typed_time(told, zone)
    except InputError as error:
        raise InputError(f"{part.label}: {error}") from error


def _text(part: Part, told: str) -> str:
    is_ring = part.name == "ring"
    fault = text_fault(told, LONGEST_RING) if is_ring else note_fault(told, LONGEST_WHY)
    if fault is not None:
        raise InputError(f"{part.label}: {fault}.")
    return told


def _name(fact: Fact, part: Part) -> str:
    return f"{fact.name}.{part.name}".replace(" ", "_")


def _shown(value: object, zone: ZoneInfo) -> str:
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.astimezone(zone).strftime("%Y-%m-%dT%H:%M")
    return f"{value:g}" if isinstance(value, float) else str(value)
