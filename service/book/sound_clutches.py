"""Clutches, eggs and chicks that contradict each other. Pure."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from service.book.errors import Fault
from service.book.left_out import LeftOut
from service.book.located import Located, LocatedBook
from service.nests.book_rows import ChickRow, ClutchRow, EggRow, MoveRow
from service.nests.nest import Candling, EggFate


def faulty_clutches(book: LocatedBook, left_out: LeftOut) -> Iterator[Fault]:
    """Two open clutches in a box, egg numbers with holes, chicks out of eggs that did not hatch,
    moves from where the egg was not.
    """
    yield from _open_clutches(book)
    by_clutch: dict[int, list[Located[EggRow]]] = defaultdict(list)
    for one in book.of(EggRow):
        by_clutch[one.row.clutch].append(one)
    for eggs in by_clutch.values():
        eggs.sort(key=lambda one: one.row.number)
        if not (left_out.told and left_out.any_of("eggs")):
            yield from _holes(eggs)
        yield from _laying_order(eggs)
    yield from _chicks(book, left_out)
    if not (left_out.told and left_out.any_of("moves")):
        yield from _moves(book)


def _open_clutches(book: LocatedBook) -> Iterator[Fault]:
    open_in: dict[str, Located[ClutchRow]] = {}
    for one in book.of(ClutchRow):
        if one.row.closed_at is None:
            first = open_in.setdefault(one.row.box, one)
            if first is not one:
                words = (
                    f"clutch {first.row.clutch} in {one.row.box} is not closed either (line "
                    f"{first.line}); only one can go on in a box"
                )
                yield one.fault("closed_at", words)


def _holes(eggs: Sequence[Located[EggRow]]) -> Iterator[Fault]:
    """The first egg after a hole, and all after it: their numbers say what nobody knows."""
    times = Counter(one.row.number for one in eggs)
    for expected, one in enumerate(eggs, start=1):
        if one.row.number > expected and times[one.row.number] == 1:
            words = f"egg {one.row.number} follows a hole: there is no egg {expected}"
            yield one.fault("number", f"{words} in clutch {one.row.clutch}")


def _laying_order(eggs: Sequence[Located[EggRow]]) -> Iterator[Fault]:
    for before, one in pairwise(eggs):
        if one.row.laid_to < before.row.laid_from:
            words = f"egg {one.row.number} was laid before egg {before.row.number}"
            yield one.fault("laid_to", f"{words} (line {before.line}); eggs are numbered as laid")


def _chicks(book: LocatedBook, left_out: LeftOut) -> Iterator[Fault]:
    eggs = {one.row.egg: one for one in book.of(EggRow)}
    hatched = {one.row.egg for one in book.of(ChickRow)}
    for chick in book.of(ChickRow):
        if chick.row.egg in eggs:
            yield from _faulty_chick(chick, eggs[chick.row.egg])
    if left_out.told and left_out.any_of("chicks"):
        return
    for egg in eggs.values():
        if egg.row.fate is EggFate.HATCHED and egg.row.egg not in hatched:
            yield egg.fault("fate", f"chicks.csv has no chick out of egg {egg.row.egg}")


def _faulty_chick(chick: Located[ChickRow], egg: Located[EggRow]) -> Iterator[Fault]:
    named = f"egg {egg.row.egg} (eggs.csv, line {egg.line})"
    if egg.row.fate is not EggFate.HATCHED:
        fate = "has no fate" if egg.row.fate is None else f"is known as {egg.row.fate}"
        yield chick.fault("egg", f"{named} {fate}; no chick comes of it")
    elif egg.row.candling is Candling.CLEAR:
        words = f"{named} was candled clear; correct that first, if a chick came of it"
        yield chick.fault("egg", words)
    if chick.row.hatched_to < egg.row.laid_from:
        yield chick.fault("hatched_to", f"it hatched before {named} was laid")


def _moves(book: LocatedBook) -> Iterator[Fault]:
    boxes = {one.row.clutch: one.row.box for one in book.of(ClutchRow)}
    eggs = {one.row.egg: one.row for one in book.of(EggRow)}
    lies_in = {egg.egg: boxes.get(egg.clutch) for egg in eggs.values()}
    for move in sorted(book.of(MoveRow), key=lambda one: (one.row.at, one.row.move)):
        egg, box = eggs.get(move.row.egg), lies_in.get(move.row.egg)
        if egg is None or box is None:
            continue
        if move.row.at < egg.laid_from:
            yield move.fault("at", f"egg {egg.egg} was not laid yet")
        if move.row.from_box != box:
            words = f"egg {egg.egg} lay in {box} then, not in {move.row.from_box}"
            yield move.fault("from_box", words)
        lies_in[egg.egg] = move.row.to_box
