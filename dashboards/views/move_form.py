"""The form by which an egg or a chick goes into another box. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from dashboards.views.local_words import count
from dashboards.views.typed_time import typed_time
from service.errors import InputError
from service.nests.book_says import BookSays, upper
from service.nests.guests import chicks_at_home, chicks_of_guests, eggs_of_guests, lying_at_home
from service.nests.moving import MoveTold
from service.nests.nest import Clutch, Egg, Nest
from service.nests.typed_text import LONGEST_WHY, note_fault


@dataclass(frozen=True, slots=True, kw_only=True)
class Movable:
    """An egg or chick that is in the box; ``clutch`` is its own."""

    clutch: Clutch
    egg: Egg
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveThing:
    """A line to be ticked."""

    egg_id: int
    label: str
    words: str
    ticked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxChoice:
    """A box to move into."""

    id: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveFormView:
    """``doubts`` are asked with "It is so"; ``wrong`` says why nothing was moved."""

    box: str
    name: str
    things: tuple[MoveThing, ...]
    boxes: tuple[BoxChoice, ...]
    to_box: str
    at: str
    why: str
    doubts: tuple[str, ...] = ()
    wrong: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveSent:
    """What the form told."""

    egg_ids: tuple[int, ...]
    to_box: str
    at: datetime
    why: str
    sure: bool


def movables(nest: Nest, book: BookSays) -> tuple[Movable, ...]:
    """Everything in the box that can be moved: our own in laying order, then guests."""
    return tuple(_movables(nest, book))


def _movables(nest: Nest, book: BookSays) -> Iterator[Movable]:
    clutch = nest.clutch
    if clutch is not None:
        for egg in lying_at_home(clutch):
            yield Movable(clutch=clutch, egg=egg, label=f"Egg {egg.number}")
        eggs = {egg.number: egg for egg in clutch.eggs}
        for chick in chicks_at_home(clutch):
            egg = eggs[chick.egg_number]
            yield Movable(clutch=clutch, egg=egg, label=f"Chick {egg.number}")
    for guest in (*eggs_of_guests(nest), *chicks_of_guests(nest)):
        yield Movable(clutch=guest.clutch, egg=guest.egg, label=upper(book.guest(guest)))


def move_form(
    nest: Nest,
    others: Sequence[Nest],
    now: datetime,
    zone: ZoneInfo,
    *,
    book: BookSays,
    sent: Mapping[str, str] | None = None,
    doubts: Sequence[str] = (),
    wrong: str | None = None,
) -> MoveFormView:
    """A new form, or one that comes back as it was sent."""
    told = sent or {}
    return MoveFormView(
        box=nest.box.id,
        name=nest.box.name,
        things=tuple(
            MoveThing(
                egg_id=one.egg.id,
                label=one.label,
                words=_been(one, book),
                ticked=bool(told.get(f"egg.{one.egg.id}")),
            )
            for one in movables(nest, book)
        ),
        boxes=tuple(
            BoxChoice(id=one.box.id, words=_box_words(one))
            for one in others
            if one.box.id != nest.box.id
        ),
        to_box=told.get("to_box", ""),
        at=told.get("at") or now.astimezone(zone).strftime("%Y-%m-%dT%H:%M"),
        why=told.get("why", ""),
        doubts=tuple(doubts),
        wrong=wrong,
    )


def move_sent(fields: Mapping[str, str], now: datetime, zone: ZoneInfo) -> MoveSent:
    """What the form told.

    Raises:
        InputError: nothing was ticked, no box was chosen, or the time is none.
    """
    ids = tuple(int(name[4:]) for name, value in fields.items() if _is_tick(name) and value.strip())
    if not ids:
        raise InputError("Which egg or chick? Tick at least one.")
    to_box = fields.get("to_box", "").strip()
    if not to_box:
        raise InputError("Into which box? Choose one.")
    why = fields.get("why", "").strip()
    if (fault := note_fault(why, LONGEST_WHY)) is not None:
        raise InputError(f"Why: {fault}.")
    return MoveSent(
        egg_ids=ids,
        to_box=to_box,
        at=_at(fields.get("at", ""), now, zone),
        why=why,
        sure=bool(fields.get("sure")),
    )


def after_looks(at: datetime, out_of: Nest, into: Nest) -> datetime:
    """The form knows minutes: a move told for the minute of a look came after that look."""
    looks = [nest.checks[-1].at for nest in (out_of, into) if nest.checks]
    return max([at, *(look for look in looks if look.replace(second=0, microsecond=0) == at)])


def told_moves(sent: MoveSent, out_of: Nest, into: Nest, book: BookSays) -> tuple[MoveTold, ...]:
    """What was ticked and is still in the box."""
    return tuple(
        MoveTold(clutch=one.clutch, egg=one.egg, out_of=out_of, into=into, at=sent.at)
        for one in movables(out_of, book)
        if one.egg.id in sent.egg_ids
    )


def _is_tick(name: str) -> bool:
    return name.startswith("egg.") and name[4:].isascii() and name[4:].isdigit()


def _at(told: str, now: datetime, zone: ZoneInfo) -> datetime:
    if not told:
        return now
    return typed_time(told, zone, now=now)


def _been(one: Movable, book: BookSays) -> str:
    if not one.egg.moves:
        return ""
    boxes = [book.name(move.from_box) for move in one.egg.moves]
    return f"came by way of {', '.join(boxes)}"


def _box_words(nest: Nest) -> str:
    if nest.pair is None:
        return f"{nest.box.name}, no pair"
    eggs = len(lying_at_home(nest.clutch)) if nest.clutch else 0
    eggs += len(eggs_of_guests(nest))
    chicks = len(chicks_at_home(nest.clutch)) if nest.clutch else 0
    chicks += len(chicks_of_guests(nest))
    return f"{nest.box.name}: {count(eggs, 'egg')}, {count(chicks, 'chick')}"
