"""A clutch with one of its facts changed. Pure."""

from collections.abc import Sequence
from dataclasses import fields, replace
from datetime import datetime
from typing import cast

from service.nests.book_correction import Subject
from service.nests.facts import Fact, Value
from service.nests.guests import chick_of
from service.nests.nest import Chick, Clutch, Egg, EggFate, Move

THE_EGG = "egg"
"""The fact that there is an egg at all."""


class NotInClutchError(LookupError):
    """The clutch has no egg, chick or move of that id."""


class StandsInTheWayError(ValueError):
    """Something rests on the fact; the message is a sentence."""


def value_in(clutch: Clutch, fact: Fact, subject_id: int) -> Value:
    """The parts of a fact as they stand; all None for a move or an egg that was taken back.

    Raises:
        NotInClutchError: no such egg or chick.
    """
    if fact.subject is Subject.MOVE:
        return _move_value(clutch, subject_id)
    if fact.name == THE_EGG and all(egg.id != subject_id for egg in clutch.eggs):
        return (None,) * len(fact.parts)
    told = _subject(clutch, fact.subject, subject_id)
    return tuple(getattr(told, part.name) for part in fact.parts)


def with_value(clutch: Clutch, fact: Fact, subject_id: int, value: Value) -> Clutch:
    """The clutch as it stands once the fact is ``value``.

    An egg that hatched has a chick, and one that did not has none.

    Raises:
        NotInClutchError: no such egg, chick or move.
        StandsInTheWayError: a chick would vanish of which more is known.
    """
    told = {part.name: one for part, one in zip(fact.parts, value, strict=True)}
    if fact.subject is Subject.CLUTCH:
        return replace(clutch, **told)  # type: ignore[arg-type]
    if fact.subject is Subject.MOVE:
        return _with_move(clutch, subject_id, value)
    if fact.subject is Subject.CHICK:
        chick = cast("Chick", _subject(clutch, Subject.CHICK, subject_id))
        return _with_chick(clutch, replace(chick, **told))  # type: ignore[arg-type]
    if fact.name == THE_EGG:
        return _with_egg(clutch, subject_id, told)
    egg = cast("Egg", _subject(clutch, Subject.EGG, subject_id))
    after = replace(egg, **told)  # type: ignore[arg-type]
    clutch = replace(clutch, eggs=tuple(after if e.id == egg.id else e for e in clutch.eggs))
    return _with_its_chick(clutch, after) if fact.name == "fate" else clutch


def _with_egg(clutch: Clutch, egg_id: int, told: dict[str, object]) -> Clutch:
    """An egg that never was is taken back, or stands again: only the last, and a bare one."""
    if told["number"] is not None:
        egg = Egg(id=egg_id, **told)  # type: ignore[arg-type]
        if egg.number != len(clutch.eggs) + 1:
            raise StandsInTheWayError(f"There is an egg {egg.number} by now.")
        return replace(clutch, eggs=(*clutch.eggs, egg))
    egg = cast("Egg", _subject(clutch, Subject.EGG, egg_id))
    if egg.number != clutch.eggs[-1].number:
        later = egg.number + 1
        raise StandsInTheWayError(f"Egg {later} is numbered after it: take that back first.")
    if egg.fate is not None or egg.candling is not None or egg.moves:
        raise StandsInTheWayError(
            f"More is known of egg {egg.number} (candling, fate or moves): take that back first."
        )
    return replace(clutch, eggs=clutch.eggs[:-1])


def _subject(clutch: Clutch, subject: Subject, subject_id: int) -> Clutch | Egg | Chick:
    parts: dict[Subject, Sequence[Clutch | Egg | Chick]] = {
        Subject.CLUTCH: (clutch,),
        Subject.EGG: clutch.eggs,
        Subject.CHICK: clutch.chicks,
    }
    for one in parts.get(subject, ()):
        if one.id == subject_id:
            return one
    raise NotInClutchError(f"there is no {subject} {subject_id} in this clutch")


def _with_chick(clutch: Clutch, chick: Chick) -> Clutch:
    chicks = [one for one in clutch.chicks if one.egg_number != chick.egg_number]
    ordered = sorted([*chicks, chick], key=lambda one: one.egg_number)
    return replace(clutch, chicks=tuple(ordered))


def _with_its_chick(clutch: Clutch, egg: Egg) -> Clutch:
    chick = chick_of(egg, clutch)
    if egg.fate is EggFate.HATCHED:
        if egg.fate_from is None or egg.fate_to is None:
            return clutch  # a contradiction, and told as one
        if chick is None:
            chick = Chick(
                id=0,
                egg_number=egg.number,
                hatched_from=egg.fate_from,
                hatched_to=egg.fate_to,
            )
        return _with_chick(
            clutch, replace(chick, hatched_from=egg.fate_from, hatched_to=egg.fate_to)
        )
    if chick is None:
        return clutch
    if (chick.ring, chick.fate, chick.bird_id) != (None, None, None):
        raise StandsInTheWayError(
            f"Chick {egg.number} came out of this egg, and more is known of it (ring, fate or "
            "bird): correct that first."
        )
    return replace(clutch, chicks=tuple(one for one in clutch.chicks if one is not chick))


_MOVE_PARTS = tuple(field.name for field in fields(Move) if field.name != "id")


def _move_value(clutch: Clutch, move_id: int) -> Value:
    for egg in clutch.eggs:
        for move in egg.moves:
            if move.id == move_id:
                return (egg.id, *(getattr(move, name) for name in _MOVE_PARTS))
    return (None,) * (1 + len(_MOVE_PARTS))


def _with_move(clutch: Clutch, move_id: int, value: Value) -> Clutch:
    """Its moves are put into the order of their times anew."""
    egg_id, at, from_box, to_box, why, by = value
    if egg_id is not None and None in (at, from_box, to_box):
        raise StandsInTheWayError("A move needs its time, and the boxes out of which and into.")
    eggs = []
    for egg in clutch.eggs:
        moves = [move for move in egg.moves if move.id != move_id]
        if egg.id == egg_id:
            moves.append(
                Move(
                    id=move_id,
                    at=cast("datetime", at),
                    from_box=str(from_box),
                    to_box=str(to_box),
                    why=str(why or ""),
                    by=None if by is None else str(by),
                )
            )
        moves.sort(key=lambda move: (move.at, move.id))
        eggs.append(replace(egg, moves=tuple(moves)))
    return replace(clutch, eggs=tuple(eggs))
