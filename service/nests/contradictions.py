"""What can't all be true of one clutch, as sentences. Pure.

Times may be as rough as looks are: a contradiction is only what no instants within the told
spans could bring about.
"""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, tzinfo
from itertools import pairwise

from service.nests.guests import chick_of
from service.nests.nest import Candling, Chick, Clutch, Egg, EggFate

CLOCKS_MAY_DIFFER_BY = timedelta(minutes=5)
MOST_ROUNDS = 99
LEAST_MM, MOST_MM = 5.0, 40.0
"""The widest that is no slip of the finger for an egg's length or breadth [mm]: common practice,
no source."""


def contradictions(clutch: Clutch, now: datetime, zone: tzinfo = UTC) -> tuple[str, ...]:
    """Every contradiction within the clutch, none where all can be."""
    if left_empty := tuple(_left_empty(clutch)):
        return left_empty
    found = [*_clutch(clutch), *_laying_order(clutch)]
    for egg in clutch.eggs:
        chick = chick_of(egg, clutch)
        found += [*_laid(egg), *_light(egg), *_fate(egg, chick), *_size(egg)]
        found += _moves(egg, chick, clutch)
        found += [] if chick is None else _chick(chick)
    found += _to_come(clutch, now, zone)
    return tuple(found)


def _left_empty(clutch: Clutch) -> Iterator[str]:
    """A correction may leave out what no clutch of the book can be without."""
    told: dict[str, tuple[object, ...]] = {
        f"Which round? A number from 1 to {MOST_ROUNDS}": (clutch.round,)
    }
    for egg in clutch.eggs:
        laid = f"Egg {egg.number}: the last look without it, and the first with it, are needed"
        told[laid] = (egg.laid_from, egg.laid_to)
    for words, parts in told.items():
        if any(part is None for part in parts):
            yield f"{words}."


def _clutch(clutch: Clutch) -> Iterator[str]:
    if not 1 <= clutch.round <= MOST_ROUNDS:
        number = str(clutch.round)[:12]
        yield f"Round {number}: rounds are counted from 1 to {MOST_ROUNDS}."
    if clutch.eggs and clutch.sitting_from and clutch.sitting_from < clutch.eggs[0].laid_from:
        yield "She can't have begun to sit before the first egg was laid."


def _laying_order(clutch: Clutch) -> Iterator[str]:
    for before, egg in pairwise(clutch.eggs):
        if egg.laid_to < before.laid_from:
            yield (
                f"Egg {egg.number} would have been laid before egg {before.number}; eggs are "
                "numbered as they are laid."
            )


def _laid(egg: Egg) -> Iterator[str]:
    if egg.laid_to < egg.laid_from:
        yield f"Egg {egg.number}: the first look with it is before the last look without it."


def _light(egg: Egg) -> Iterator[str]:
    if (egg.candling is None) != (egg.candled_at is None):
        yield f"Egg {egg.number}: what the light showed, and when, belong together."
    if egg.candled_at is not None and egg.candled_at < egg.laid_from:
        yield f"Egg {egg.number} was held to a light before it was laid."
    if egg.candled_at is not None and egg.fate_to is not None and egg.candled_at > egg.fate_to:
        yield f"Egg {egg.number} was held to a light after it was {egg.fate}."


def _fate(egg: Egg, chick: Chick | None) -> Iterator[str]:
    told = (egg.fate, egg.fate_from, egg.fate_to)
    if any(part is None for part in told) and any(part is not None for part in told):
        yield f"Egg {egg.number}: a fate, the last look before and the first after belong together."
    if egg.fate_from is not None and egg.fate_to is not None:
        if egg.fate_to < egg.fate_from:
            yield f"Egg {egg.number}: the first look after its fate is before the last look before."
        if egg.fate_to < egg.laid_from:
            yield f"Egg {egg.number} would have {_became(egg)} before it was laid."
    if (egg.fate is EggFate.HATCHED) != (chick is not None):
        yield f"Egg {egg.number}: a chick, and an egg that hatched, belong together."
    if egg.fate is EggFate.HATCHED and egg.candling is Candling.CLEAR:
        yield (
            f"Egg {egg.number} was clear when held to a light, and no chick comes out of a clear "
            "egg. If the light misled, correct that first."
        )


def _became(egg: Egg) -> str:
    return "hatched" if egg.fate is EggFate.HATCHED else f"been {egg.fate}"


def _size(egg: Egg) -> Iterator[str]:
    for what, value in (("length", egg.length_mm), ("breadth", egg.breadth_mm)):
        if value is not None and not LEAST_MM <= value <= MOST_MM:
            yield (
                f"Egg {egg.number}: a {what} of {value:g} mm; allowed: {LEAST_MM:g} to "
                f"{MOST_MM:g} mm."
            )


def _chick(chick: Chick) -> Iterator[str]:
    words = f"Chick {chick.egg_number}"
    if (chick.ring is None) != (chick.ringed_at is None):
        yield f"{words}: a ring, and when it was put on, belong together."
    if chick.ring is not None and not chick.ring.strip():
        yield f"{words}: what is on its ring?"
    if (chick.fate is None) != (chick.fate_at is None):
        yield f"{words}: its fate, and when, belong together."
    if chick.ringed_at is not None and chick.ringed_at < chick.hatched_from:
        yield f"{words} can't be ringed before it hatched."
    if chick.fate_at is not None and chick.fate_at < chick.hatched_from:
        yield f"{words} can't have its fate ({chick.fate}) before it hatched."


def _moves(egg: Egg, chick: Chick | None, clutch: Clutch) -> Iterator[str]:
    box = clutch.box
    ended = chick.fate_at if chick is not None else egg.fate_to
    for move in egg.moves:
        if move.from_box != box or move.to_box == box:
            yield f"Egg {egg.number} was in {box} then: it can't have gone from {move.from_box}."
        if move.at < egg.laid_from:
            yield f"Egg {egg.number} would have been moved before it was laid."
        if ended is not None and move.at > ended:
            yield f"Egg {egg.number} would have been moved after its story ended."
        box = move.to_box


def _to_come(clutch: Clutch, now: datetime, zone: tzinfo) -> Iterator[str]:
    latest = now + CLOCKS_MAY_DIFFER_BY
    for at in sorted({at for at in _times(clutch) if at > latest}):
        yield f"{at.astimezone(zone):%d.%m.%Y %H:%M %Z} is still to come."


def _times(clutch: Clutch) -> Iterator[datetime]:
    told = [clutch.sitting_from, clutch.hide_in_at]
    for egg in clutch.eggs:
        told += [egg.laid_to, egg.candled_at, egg.fate_to, *(move.at for move in egg.moves)]
    for chick in clutch.chicks:
        told += [chick.hatched_to, chick.ringed_at, chick.fate_at]
    yield from (at for at in told if at is not None)
