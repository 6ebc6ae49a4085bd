r"""Lists inside one cell: items apart by ``;``, the parts of an item by ``:``, ``,`` and ``=``.

    hatched, not_in_sight   1;2
    lost                    4:clear;5:broken
    candled                 1:fertile
    ringed                  1:HZ-26-021
    gone                    2:fledged
    weighed                 1:2.1, and 1@17:2.1 for number 1 of another clutch, egg 17 of the book
    guests                  17;18:candled=fertile;19:hatched,ring=HZ-26-022,gone=died;9:not in sight
    changes                 egg 4 found;the hen sits

In free text (rings, changes) a ``;``, ``,`` or ``\`` has a ``\`` before it. Pure.
"""

import re
from collections.abc import Callable
from enum import StrEnum
from typing import TypeVar

from service.book.plain_cells import number_of, number_written, whole_of
from service.nests.nest import (
    Candling,
    ChickFate,
    ChickGone,
    ChickRinged,
    EggCandled,
    EggFate,
    EggLost,
    GuestSeen,
    Weighed,
)

_ESCAPED = re.compile(r"\\(.)", re.DOTALL)
_TO_ESCAPE = re.compile(r"([;,\\])")

_WITH_A_WORD = ("candled", "lost", "ring", "gone")
_ALONE = ("hatched", "not in sight")

Item = TypeVar("Item")
Word = TypeVar("Word", bound=StrEnum)


def read_list(cell: str, read: Callable[[str], Item]) -> tuple[Item, ...]:
    """Each item by ``read``; an empty cell is an empty list.

    Raises:
        ValueError: an item can't be read; the message names it.
    """
    return tuple(read(item) for item in _split(cell, ";")) if cell else ()


def _split(text: str, sign: str) -> list[str]:
    """Apart at ``sign``, unless a backslash stands before it; backslashes stay."""
    parts, begin, at = [], 0, 0
    while at < len(text):
        if text[at] == "\\":
            at += 1
        elif text[at] == sign:
            parts.append(text[begin:at])
            begin = at + 1
        at += 1
    return [*parts, text[begin:]]


def escape(text: str) -> str:
    """Free text as it stands in a list."""
    return _TO_ESCAPE.sub(r"\\\1", text)


def unescape(text: str) -> str:
    """Free text out of a list."""
    return _ESCAPED.sub(r"\1", text)


def _pair(item: str, wanted: str) -> tuple[int, str]:
    number, colon, rest = item.partition(":")
    if not colon:
        raise ValueError(f"{item!r} is no item of this list; write {wanted}")
    return whole_of(number), rest


def _word(words: type[Word], text: str) -> Word:
    try:
        return words(text)
    except ValueError:
        raise ValueError(f"{text!r} can be {', '.join(words)}") from None


def read_lost(item: str) -> EggLost:
    """``4:clear``."""
    number, word = _pair(item, "number:fate, as in 4:clear")
    fate = _word(EggFate, word)
    if fate is EggFate.HATCHED:
        raise ValueError(f"egg {number} is not lost when it hatched; it belongs under hatched")
    return EggLost(number=number, fate=fate)


def write_lost(lost: EggLost) -> str:
    """``4:clear``."""
    return f"{lost.number}:{lost.fate}"


def read_candled(item: str) -> EggCandled:
    """``1:fertile``."""
    number, word = _pair(item, "number:result, as in 1:fertile")
    return EggCandled(number=number, result=_word(Candling, word))


def write_candled(candled: EggCandled) -> str:
    """``1:fertile``."""
    return f"{candled.number}:{candled.result}"


def read_ringed(item: str) -> ChickRinged:
    """``1:HZ-26-021``."""
    number, ring = _pair(item, "number:ring, as in 1:HZ-26-021")
    return ChickRinged(egg_number=number, ring=unescape(ring))


def write_ringed(ringed: ChickRinged) -> str:
    """``1:HZ-26-021``."""
    return f"{ringed.egg_number}:{escape(ringed.ring)}"


def read_gone(item: str) -> ChickGone:
    """``2:fledged``."""
    number, word = _pair(item, "number:fate, as in 2:fledged")
    return ChickGone(egg_number=number, fate=_word(ChickFate, word))


def write_gone(gone: ChickGone) -> str:
    """``2:fledged``."""
    return f"{gone.egg_number}:{gone.fate}"


def read_weighed(item: str) -> Weighed:
    """``1:2.1`` or ``1@17:2.1``."""
    which, colon, mass = item.partition(":")
    number, at, egg = which.partition("@")
    if not colon:
        raise ValueError(f"{item!r} is no item of this list; write number:grams, as in 1:2.1")
    mass_g = number_of(mass)
    if mass_g <= 0:
        raise ValueError(f"{mass} g is no mass; it is more than 0")
    return Weighed(egg_number=whole_of(number), mass_g=mass_g, egg_id=whole_of(egg) if at else None)


def write_weighed(weighed: Weighed) -> str:
    """``1:2.1`` or ``1@17:2.1``."""
    guest = "" if weighed.egg_id is None else f"@{weighed.egg_id}"
    return f"{weighed.egg_number}{guest}:{number_written(weighed.mass_g)}"


def read_guest(item: str) -> GuestSeen:
    """``17`` or ``17:candled=fertile,lost=broken,hatched,ring=HZ-26-022,gone=died``."""
    number, _, rest = item.partition(":")
    told = dict(_told_of_guest(part) for part in _split(rest, ",")) if rest else {}
    return GuestSeen(
        egg_id=whole_of(number),
        candled=_word(Candling, told["candled"]) if "candled" in told else None,
        lost=_word(EggFate, told["lost"]) if "lost" in told else None,
        hatched="hatched" in told,
        ring=unescape(told["ring"]) if "ring" in told else None,
        gone=_word(ChickFate, told["gone"]) if "gone" in told else None,
        not_in_sight="not in sight" in told,
    )


def _told_of_guest(part: str) -> tuple[str, str]:
    name, equals, value = part.partition("=")
    if name not in _WITH_A_WORD + _ALONE or bool(equals) is (name in _ALONE):
        raise ValueError(
            f"{part!r} is nothing that is told of a guest; write candled=..., lost=..., "
            "hatched, ring=..., gone=... or not in sight"
        )
    return name, value


def write_guest(guest: GuestSeen) -> str:
    """``17`` or ``17:candled=fertile,lost=broken,hatched,ring=HZ-26-022,gone=died``."""
    told = []
    if guest.candled is not None:
        told.append(f"candled={guest.candled}")
    if guest.lost is not None:
        told.append(f"lost={guest.lost}")
    if guest.hatched:
        told.append("hatched")
    if guest.ring is not None:
        told.append(f"ring={escape(guest.ring)}")
    if guest.gone is not None:
        told.append(f"gone={guest.gone}")
    if guest.not_in_sight:
        told.append("not in sight")
    return f"{guest.egg_id}:{','.join(told)}" if told else str(guest.egg_id)
