"""Pairs that can't be: two hens, a bird in two cages at once, two pairs in one. Pure."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date

from service.book.errors import Fault
from service.book.located import Located, LocatedBook
from service.nests.book_rows import BirdRow, PairRow
from service.nests.nest import Sex


def faulty_pairs(book: LocatedBook) -> Iterator[Fault]:
    """Told at the later pair of two. One that ends on the day on which the next is put up
    does not meet it.
    """
    sexes = {one.row.bird: one.row.sex for one in book.of(BirdRow)}
    for one in book.of(PairRow):
        if sexes.get(one.row.cock) is Sex.HEN:
            yield one.fault("cock", f"bird {one.row.cock} is a hen")
        if sexes.get(one.row.hen) is Sex.COCK:
            yield one.fault("hen", f"bird {one.row.hen} is a cock")
        if one.row.cock == one.row.hen:
            yield one.fault("hen", "a pair is a cock and a hen, and this is one bird twice")
    for column in ("cage", "cock", "hen"):
        yield from _meeting(book, column)


def _meeting(book: LocatedBook, column: str) -> Iterator[Fault]:
    by_value: dict[object, list[Located[PairRow]]] = defaultdict(list)
    for one in book.of(PairRow):
        by_value[getattr(one.row, column)].append(one)
    for value, pairs in by_value.items():
        pairs.sort(key=lambda one: (one.row.put_up_on, _end(one.row), one.row.pair))
        last = pairs[0]
        for one in pairs[1:]:
            # Two pairs in one cage are told once, by the cage.
            same_cage = column != "cage" and one.row.cage == last.row.cage
            if one.row.put_up_on < _end(last.row) and not same_cage:
                yield one.fault(column, _in_words(column, value, one.row, last.row))
            last = max(last, one, key=lambda found: _end(found.row))


def _end(pair: PairRow) -> date:
    return pair.ended_on or date.max


def _in_words(column: str, value: object, pair: PairRow, earlier: PairRow) -> str:
    until = f"until {earlier.ended_on}" if earlier.ended_on else "and has not ended"
    held = f"pair {earlier.pair}, put up on {earlier.put_up_on} {until}"
    if column == "cage":
        return f"{value} holds {held}: one cage, one pair"
    return f"bird {value} is in {earlier.cage} with {held}; it can't be in {pair.cage} too"
