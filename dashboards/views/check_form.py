"""The nest check form: what it starts with, and how what was sent becomes a check. Pure.

Counts are what lies in the box at the end of the look. Where the keeper left both counts as
they were and named what hatched or was lost, the counts follow from the names: nobody has to
do sums with wet hands.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from typing import TypeVar
from uuid import UUID
from zoneinfo import ZoneInfo

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from service.errors import InputError
from service.nests.nest import (
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    EggCandled,
    EggFate,
    EggLost,
    HenSeen,
    Nest,
    NestCheck,
)
from service.nests.question import SURE, Question

_Word = TypeVar("_Word", bound=StrEnum)


class _Sent(BaseModel):
    """The fields that every form has."""

    model_config = ConfigDict(extra="ignore", str_strip_whitespace=True)

    form_id: UUID
    at: str = ""
    eggs: int = Field(ge=0, le=30)
    chicks: int = Field(ge=0, le=30)
    eggs_before: int | None = Field(default=None, ge=0, le=30)
    chicks_before: int | None = Field(default=None, ge=0, le=30)
    hen: HenSeen = HenSeen.NOT_SEEN
    note: str = Field(default="", max_length=2000)
    hide_in: bool = False
    sure: bool = False
    counted: bool = False


_FIELD_WORDS = {
    "form_id": "the form has no number of its own; open it anew",
    "eggs": "eggs: a number from 0 to 30",
    "chicks": "chicks: a number from 0 to 30",
    "hen": "hen: one of the four choices",
    "note": "note: at most 2000 letters",
}


def check_from_form(
    fields: Mapping[str, str], box: str, now: datetime, zone: ZoneInfo
) -> NestCheck:
    """The check that a form tells.

    ``egg.3.fate``, ``egg.3.candled``, ``chick.3.ring`` and ``chick.3.fate`` name single eggs
    and chicks (a chick by its egg's number); left empty they say nothing.

    Raises:
        InputError: a field is not what it should be; the message says which.
    """
    try:
        sent = _Sent.model_validate({name: value for name, value in fields.items() if value})
    except ValidationError as error:
        name = str(error.errors()[0]["loc"][0])
        raise InputError(_FIELD_WORDS.get(name, f"{name} is not understood")) from error
    fates = _named(fields, "egg", "fate", EggFate)
    gone = _named(fields, "chick", "fate", ChickFate)
    hatched = tuple(number for number, fate in fates if fate is EggFate.HATCHED)
    lost = tuple((number, fate) for number, fate in fates if fate is not EggFate.HATCHED)
    eggs, chicks = sent.eggs, sent.chicks
    untouched = (sent.eggs_before, sent.chicks_before) == (sent.eggs, sent.chicks)
    if untouched and not sent.counted:
        eggs = max(0, eggs - len(fates))
        chicks = max(0, chicks + len(hatched) - len(gone))
    return NestCheck(
        form_id=sent.form_id,
        box=box,
        at=_at(sent.at, now, zone),
        eggs=eggs,
        chicks=chicks,
        hen=sent.hen,
        hatched=hatched,
        lost=tuple(EggLost(number=number, fate=fate) for number, fate in lost),
        candled=tuple(
            EggCandled(number=number, result=result)
            for number, result in _named(fields, "egg", "candled", Candling)
        ),
        ringed=_rings(fields),
        gone=tuple(ChickGone(egg_number=number, fate=fate) for number, fate in gone),
        hide_in=sent.hide_in,
        sure=sent.sure,
        note=sent.note,
    )


def _at(told: str, now: datetime, zone: ZoneInfo) -> datetime:
    """Local time of the look; without one it is now."""
    if not told:
        return now
    try:
        at = datetime.fromisoformat(told)
    except ValueError as error:
        raise InputError(f"{told!r} is no day and time") from error
    if at.tzinfo is None:
        at = at.replace(tzinfo=zone)
    return at.astimezone(UTC)


def _named(
    fields: Mapping[str, str], thing: str, what: str, words: type[_Word]
) -> list[tuple[int, _Word]]:
    found = []
    for number, value in _numbered(fields, thing, what):
        try:
            found.append((number, words(value)))
        except ValueError as error:
            raise InputError(f"{thing} {number}: {value!r} is not one of the choices") from error
    return found


def _numbered(fields: Mapping[str, str], thing: str, what: str) -> list[tuple[int, str]]:
    """The filled fields ``thing.N.what``, by number."""
    found = []
    for name, value in fields.items():
        parts = name.split(".")
        if len(parts) == 3 and parts[0] == thing and parts[2] == what and value.strip():
            if not (parts[1].isascii() and parts[1].isdigit() and 0 < int(parts[1]) <= 30):
                raise InputError(f"{thing} {parts[1]!r}: eggs are numbered from 1 to 30")
            found.append((int(parts[1]), value.strip()))
    return sorted(found)


def _rings(fields: Mapping[str, str]) -> tuple[ChickRinged, ...]:
    rings = _numbered(fields, "chick", "ring")
    for number, ring in rings:
        if len(ring) > 40:
            raise InputError(f"chick {number}: a ring has at most 40 letters")
    return tuple(ChickRinged(egg_number=number, ring=ring) for number, ring in rings)


@dataclass(frozen=True, slots=True, kw_only=True)
class EggPart:
    """An egg that still lies there; its two choices as sent."""

    number: int
    words: str
    fate: str
    candled: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChickPart:
    """A chick in the box, by its egg's number; its ring and fate as sent."""

    number: int
    words: str
    ringed: bool
    ring: str
    fate: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Asking:
    """A question of the book. ``pick``: which of ``numbers``, with a word of ``choices``."""

    sentence: str
    thing: str
    numbers: tuple[int, ...]
    choices: tuple[str, ...]
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckFormView:
    """``open_part``: the part for what is different stands open. ``wrong`` is a sentence."""

    box: str
    name: str
    form_id: str
    at: str
    expected: str
    eggs: int
    chicks: int
    eggs_before: int
    chicks_before: int
    hen: str
    hens: tuple[str, ...]
    eggs_lying: tuple[EggPart, ...]
    chicks_here: tuple[ChickPart, ...]
    egg_fates: tuple[str, ...]
    candlings: tuple[str, ...]
    chick_fates: tuple[str, ...]
    note: str
    hide_in: bool
    open_part: bool
    counted: bool
    questions: tuple[Asking, ...] = ()
    wrong: str | None = None


def check_form(
    nest: Nest,
    form_id: str,
    expected: str,
    now: datetime,
    zone: ZoneInfo,
    *,
    sent: Mapping[str, str] | None = None,
    questions: Sequence[Question] = (),
    wrong: str | None = None,
) -> CheckFormView:
    """A new form, filled as things were last time; or one that comes back, as it was sent."""
    told = sent or {}
    clutch = nest.clutch if nest.clutch and nest.clutch.closed_at is None else None
    lying = [egg for egg in clutch.eggs if egg.fate is None] if clutch else []
    here = [chick for chick in clutch.chicks if chick.fate is None] if clutch else []
    last_hen = nest.checks[-1].hen if nest.checks else HenSeen.NOT_SEEN
    asked_numbers = {n for question in questions for n in question.numbers if question.choices}
    return CheckFormView(
        box=nest.box.id,
        name=nest.box.name,
        form_id=form_id,
        at=told.get("at") or now.astimezone(zone).strftime("%Y-%m-%dT%H:%M"),
        expected=expected,
        eggs=_whole(told.get("eggs"), len(lying)),
        chicks=_whole(told.get("chicks"), len(here)),
        eggs_before=len(lying),
        chicks_before=len(here),
        hen=told.get("hen", last_hen.value),
        hens=tuple(HenSeen),
        eggs_lying=tuple(
            EggPart(
                number=egg.number,
                words=f"candled: {egg.candling}" if egg.candling else "",
                fate=told.get(f"egg.{egg.number}.fate", ""),
                candled=told.get(f"egg.{egg.number}.candled", ""),
            )
            for egg in lying
            if not (questions and _asks_eggs(questions) and egg.number in asked_numbers)
        ),
        chicks_here=tuple(
            ChickPart(
                number=chick.egg_number,
                words=f"ring {chick.ring}" if chick.ring else "no ring yet",
                ringed=chick.ring is not None,
                ring=told.get(f"chick.{chick.egg_number}.ring", ""),
                fate=told.get(f"chick.{chick.egg_number}.fate", ""),
            )
            for chick in here
            if not (_asks_chicks(questions) and chick.egg_number in asked_numbers)
        ),
        egg_fates=("hatched", *(fate for fate in EggFate if fate is not EggFate.HATCHED)),
        candlings=tuple(Candling),
        chick_fates=tuple(ChickFate),
        note=told.get("note", ""),
        hide_in=bool(told.get("hide_in")),
        open_part=bool(sent),
        counted=bool(told.get("counted")) or bool(questions),
        questions=tuple(_asking(question) for question in questions),
        wrong=wrong,
    )


def _asks_eggs(questions: Sequence[Question]) -> bool:
    return any(set(q.choices) & set(EggFate) for q in questions)


def _asks_chicks(questions: Sequence[Question]) -> bool:
    return any(set(q.choices) & set(ChickFate) for q in questions)


def _asking(question: Question) -> Asking:
    return Asking(
        sentence=question.sentence,
        thing="chick" if set(question.choices) & set(ChickFate) else "egg",
        numbers=question.numbers if question.choices and SURE not in question.choices else (),
        choices=tuple(str(choice) for choice in question.choices if choice != SURE),
        sure=SURE in question.choices,
    )


def _whole(told: str | None, otherwise: int) -> int:
    return int(told) if told and told.isascii() and told.isdigit() else otherwise
