"""What a message of an unknown sender holds, and what it may mean: for a keeper to confirm.

Pure. Every suggestion is a guess from the name of a key, from a unit beside it and from what
the value can be; none is acted upon by itself.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum

from jsonpointer import escape

from devices.errors import DecodeError
from devices.formats import senml
from devices.formats.json_text import Json, read_json
from devices.formats.leaf_words import (
    GENERAL_LEVELS,
    ID_WORDS,
    TIME_WORDS,
    UNIT_KEYS,
    Meaning,
    is_on_mains,
    meaning_of,
    quantity_in,
    unit_named,
    words_of,
)
from devices.formats.number_text import number_in
from devices.formats.sender_name import name_fault
from devices.formats.sent_time import read_time
from devices.message import Message
from devices.reading import Quantity
from devices.sensor import Format

MAX_LEAVES = 200
MAX_SHOWN = 60
_SENML_KEYS = frozenset(("n", "bn"))
_NEVER = datetime(1970, 1, 1, tzinfo=UTC)


class LeafKind(StrEnum):
    """What stands at a leaf. NUMBER_AS_TEXT is a number in quotes, such as "21.4"."""

    NUMBER = "number"
    NUMBER_AS_TEXT = "number as text"
    YES_OR_NO = "yes or no"
    TEXT = "text"
    NOTHING = "nothing"

    @property
    def is_value(self) -> bool:
        """Whether a field can be made of it."""
        return self in (LeafKind.NUMBER, LeafKind.NUMBER_AS_TEXT, LeafKind.YES_OR_NO)


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """One value in a message. ``pointer`` is RFC 6901; empty for a payload that is one number.

    ``shown`` is the value as text for reading, cut. ``quantity`` and ``unit`` are suggested
    together or not at all; ``why`` says in words what speaks for them.
    """

    pointer: str
    shown: str
    kind: LeafKind
    quantity: Quantity | None = None
    unit: str | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeviceGuess:
    """Where the sender's name may stand: a topic level (from 1) or a pointer, never both.

    ``device`` is the name that this message would give. ``topic`` is the filter that a feed
    with this guess would listen to.
    """

    device: str
    topic: str
    level: int | None = None
    pointer: str | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MessageReading:
    """One received message, taken apart.

    ``format`` is None where it can't be read, and ``fault`` then says why. ``leaves`` are in
    the order of the message, ``left_out`` how many more there are. ``devices`` and
    ``time_pointers`` come best first.
    """

    topic: str
    format: Format | None
    fault: str = ""
    leaves: tuple[Leaf, ...] = ()
    left_out: int = 0
    devices: tuple[DeviceGuess, ...] = ()
    time_pointers: tuple[str, ...] = ()


def suggest(topic: str, payload: bytes, *, beside: Sequence[str] = ()) -> MessageReading:
    """Take a message apart and say what its parts may be.

    Args:
        topic: under which it came.
        payload: its bytes; whatever they are, nothing is raised.
        beside: other topics that were heard, to see which level tells senders apart.
    """
    levels = tuple(topic.split("/"))
    try:
        content = read_json(topic, payload)
    except DecodeError as error:
        return _unreadable(topic, payload, error.reason)
    records = _senml_records(topic, payload, content)
    if records is not None:
        leaves = tuple(_leaf_of_record(record) for record in records[:MAX_LEAVES])
        left_out = max(0, len(records) - MAX_LEAVES)
        devices = _devices_of_records(topic, records) or _devices_of_topic(levels, beside)
        return MessageReading(
            topic=topic, format=Format.SENML, leaves=leaves, left_out=left_out, devices=devices
        )
    spots = list(_spots(content, (), ""))
    plain = len(spots) == 1 and spots[0].pointer == ""
    is_number = plain and isinstance(content, int | float) and not isinstance(content, bool)
    return MessageReading(
        topic=topic,
        format=Format.NUMBER if is_number else Format.JSON,
        leaves=tuple(_leaf(spot, levels) for spot in spots[:MAX_LEAVES]),
        left_out=max(0, len(spots) - MAX_LEAVES),
        devices=_best_devices(levels, beside, spots),
        time_pointers=tuple(spot.pointer for spot in spots if _tells_time(spot)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Spot:
    """A leaf before anything is made of it; ``around`` is the object that it stands in."""

    pointer: str
    path: tuple[str, ...]
    value: Json
    around: Mapping[str, Json]


def _spots(
    value: Json, path: tuple[str, ...], pointer: str, around: Mapping[str, Json] | None = None
) -> Iterator[_Spot]:
    """All leaves, in the order of the message; the reader has bounded the depth."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            if _is_half_a_character(key):
                continue  # no pointer to it can be kept
            yield from _spots(inner, (*path, key), f"{pointer}/{escape(key)}", value)
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from _spots(inner, path, f"{pointer}/{number}", {})
    else:
        yield _Spot(pointer=pointer, path=path, value=value, around=around or {})


def _is_half_a_character(key: str) -> bool:
    return any("\ud800" <= sign <= "\udfff" for sign in key)


def _leaf(spot: _Spot, levels: Sequence[str]) -> Leaf:
    kind, number = _kind_of(spot.value)
    meaning = _meaning(spot, kind, number, levels)
    return Leaf(
        pointer=spot.pointer,
        shown=_shown(spot.value),
        kind=kind,
        quantity=None if meaning is None else meaning.quantity,
        unit=None if meaning is None else meaning.unit,
        why="" if meaning is None else meaning.why,
    )


def _kind_of(value: Json) -> tuple[LeafKind, float | None]:
    if value is None:
        return LeafKind.NOTHING, None
    if isinstance(value, bool):
        return LeafKind.YES_OR_NO, float(value)
    if isinstance(value, int | float):
        try:
            return LeafKind.NUMBER, float(value)
        except OverflowError:
            return LeafKind.NUMBER, math.inf
    if isinstance(value, str) and (number := number_in(value)) is not None:
        return LeafKind.NUMBER_AS_TEXT, number
    return LeafKind.TEXT, None


def _meaning(
    spot: _Spot, kind: LeafKind, number: float | None, levels: Sequence[str]
) -> Meaning | None:
    if number is None or _tells_time(spot) or _names_sender(spot):
        return None
    path = (levels[-1], *spot.path)
    if kind is LeafKind.YES_OR_NO and not is_on_mains(path):
        return None
    return meaning_of(path, number, _unit_beside(spot))


def _unit_beside(spot: _Spot) -> str | None:
    """A unit in the same object: under "unit", or under the value's own name and "unit"."""
    own = words_of(spot.path[-1]) if spot.path else ()
    for key, value in spot.around.items():
        words = words_of(key)
        is_unit = bool(words) and words[-1] in UNIT_KEYS and words[:-1] in ((), own)
        if is_unit and isinstance(value, str):
            return unit_named(value)
    return None


def _tells_time(spot: _Spot) -> bool:
    if not isinstance(spot.value, str | int | float) or isinstance(spot.value, bool):
        return False
    named = bool(spot.path) and bool(TIME_WORDS.intersection(words_of(spot.path[-1])))
    if not named and not isinstance(spot.value, str):
        return False
    try:
        read_time(spot.value)
    except ValueError:
        return False
    return True


def _names_sender(spot: _Spot) -> bool:
    if not spot.path or not isinstance(spot.value, str | int) or isinstance(spot.value, bool):
        return False
    words = words_of(spot.path[-1])
    return bool(words) and words[-1] in ID_WORDS and name_fault(str(spot.value)) is None


def _best_devices(
    levels: Sequence[str], beside: Sequence[str], spots: Sequence[_Spot]
) -> tuple[DeviceGuess, ...]:
    """A level that tells senders apart, then what is named as an id, then other levels."""
    topic = "/".join(levels)
    by_level = _devices_of_topic(levels, beside)
    named = tuple(
        DeviceGuess(
            device=str(spot.value),
            topic=topic,
            pointer=spot.pointer,
            why=f"“{spot.path[-1]}” reads like a name",
        )
        for spot in spots
        if _names_sender(spot)
    )
    apart = {one.level for one in by_level if one.why == _APART}
    first = tuple(one for one in by_level if one.level in apart)
    rest = tuple(one for one in by_level if one.level not in apart)
    return (*first, *named, *rest)


_APART = "this level differs between topics that are otherwise alike"
_LIKE_ID = "this level reads like an id"
_ONLY = "nothing else in the topic is likelier"
_SHARED = "many senders may share this level"
_MEASURED = "this level rather tells what is measured"
_ORDER = (_APART, _LIKE_ID, _ONLY, _SHARED, _MEASURED)


def _devices_of_topic(levels: Sequence[str], beside: Sequence[str]) -> tuple[DeviceGuess, ...]:
    apart = _levels_apart(levels, beside)
    guesses = []
    for number, level in enumerate(levels, start=1):
        if name_fault(level) is not None:
            continue
        if number in apart:
            why = _APART
        elif any(sign.isdigit() for sign in level):
            why = _LIKE_ID
        else:
            why = _why_not(level)
        heard = (*levels[: number - 1], "+", *levels[number:])
        guesses.append(DeviceGuess(device=level, topic="/".join(heard), level=number, why=why))
    # The further behind, the nearer to the sender.
    return tuple(sorted(guesses, key=lambda one: (_ORDER.index(one.why), -(one.level or 0))))


def _why_not(level: str) -> str:
    if quantity_in(level) is not None:
        return _MEASURED
    return _SHARED if level.lower() in GENERAL_LEVELS else _ONLY


def _levels_apart(levels: Sequence[str], beside: Sequence[str]) -> set[int]:
    """Levels (from 1) in which another topic differs from this one, and in nothing else."""
    found = set()
    for topic in beside:
        other = topic.split("/")
        if len(other) == len(levels):
            differing = [
                number
                for number, (mine, theirs) in enumerate(zip(levels, other, strict=True), start=1)
                if mine != theirs
            ]
            if len(differing) == 1:
                found.update(differing)
    return found


def _unreadable(topic: str, payload: bytes, fault: str) -> MessageReading:
    """No JSON; perhaps a plain number as ``number`` takes it, such as "+21.4"."""
    text = payload[:100].decode("utf-8", errors="replace").strip()
    levels = topic.split("/")
    if len(payload) > 100 or number_in(text) is None:
        return MessageReading(topic=topic, format=None, fault=fault)
    spot = _Spot(pointer="", path=(), value=text, around={})
    return MessageReading(
        topic=topic,
        format=Format.NUMBER,
        leaves=(_leaf(spot, levels),),
        devices=_devices_of_topic(levels, ()),
    )


def _senml_records(topic: str, payload: bytes, content: Json) -> list[senml.Resolved] | None:
    """The records of a SenML pack; None where it is none."""
    if not isinstance(content, list) or not content:
        return None
    if not all(isinstance(one, dict) and _SENML_KEYS.intersection(one) for one in content):
        return None
    try:
        records, _ = senml.resolve(Message(topic=topic, payload=payload, received_at=_NEVER))
    except DecodeError:
        return None
    return records or None


def _leaf_of_record(record: senml.Resolved) -> Leaf:
    measure = senml.split_name(record.name)[1]
    meaning = None
    if record.value is not None:
        beside = None if record.unit is None else unit_named(record.unit) or record.unit
        meaning = meaning_of((measure,), record.value, beside)
    return Leaf(
        pointer=measure,
        shown=_shown(record.value),
        kind=LeafKind.TEXT if record.value is None else LeafKind.NUMBER,
        quantity=None if meaning is None else meaning.quantity,
        unit=None if meaning is None else meaning.unit,
        why="" if meaning is None else meaning.why,
    )


def _devices_of_records(topic: str, records: Sequence[senml.Resolved]) -> tuple[DeviceGuess, ...]:
    names = dict.fromkeys(senml.split_name(record.name)[0] for record in records)
    return tuple(
        DeviceGuess(device=name, topic=topic, why="the pack names its sender")
        for name in names
        if name and name_fault(name) is None
    )


def _shown(value: Json) -> str:
    """As text for reading: cut, and what can't be printed as a code."""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        told = f"{value:.1f}"
    elif isinstance(value, bool):
        told = "yes" if value else "no"
    else:
        told = "" if value is None else str(value)
    told = "".join(
        sign if sign.isprintable() else repr(sign)[1:-1] for sign in told[: MAX_SHOWN + 1]
    )
    return told if len(told) <= MAX_SHOWN else f"{told[:MAX_SHOWN]}…"
