"""Looks that name eggs nobody knows, or belong to another box. Pure."""

from collections import Counter
from collections.abc import Container, Iterator

from service.book.errors import Fault
from service.book.located import Located, LocatedBook
from service.nests.book_correction import Subject
from service.nests.book_rows import CheckRow, ClutchRow, CorrectionRow, EggRow
from service.nests.correcting import THE_EGG


def faulty_looks(book: LocatedBook) -> Iterator[Fault]:
    """Egg numbers are held against the clutch that the look belongs to, where it has one."""
    boxes = {one.row.clutch: one.row.box for one in book.of(ClutchRow)}
    clutch_of = {one.row.egg: one.row.clutch for one in book.of(EggRow)}
    last = Counter(clutch_of.values()) | _taken_back(book)
    for one in book.of(CheckRow):
        clutch = one.row.clutch
        if clutch in boxes:
            if boxes[clutch] != one.row.box:
                words = f"clutch {clutch} is in {boxes[clutch]}, and this look is into another box"
                yield one.fault("clutch", words)
            yield from _unknown_numbers(one, last[clutch])
        yield from _unknown_guests(one, clutch_of.keys())


def _taken_back(book: LocatedBook) -> Counter[int]:
    """By clutch, the highest number of an egg that was miscounted and taken back: looks before
    that may have told of it."""
    found: Counter[int] = Counter()
    for one in book.of(CorrectionRow):
        row = one.row
        if (row.subject, row.fact) == (Subject.EGG, THE_EGG) and row.clutch is not None:
            number = (row.before or row.after or "").partition(";")[0]
            if number.isdecimal():
                found[row.clutch] = max(found[row.clutch], int(number))
    return found


def _unknown_numbers(one: Located[CheckRow], last: int) -> Iterator[Fault]:
    row = one.row
    named = {
        "hatched": row.hatched,
        "lost": [lost.number for lost in row.lost],
        "candled": [candled.number for candled in row.candled],
        "ringed": [ringed.egg_number for ringed in row.ringed],
        "gone": [gone.egg_number for gone in row.gone],
        "not_in_sight": row.not_in_sight,
        "weighed": [weighed.egg_number for weighed in row.weighed if weighed.egg_id is None],
    }
    for column, numbers in named.items():
        for number in numbers:
            if not 1 <= number <= last:
                yield one.fault(column, f"there is no egg {number} in clutch {row.clutch}")


def _unknown_guests(one: Located[CheckRow], eggs: Container[int]) -> Iterator[Fault]:
    for guest in one.row.guests:
        if guest.egg_id not in eggs:
            yield one.fault("guests", f"there is no egg {guest.egg_id} in eggs.csv")
    for weighed in one.row.weighed:
        if weighed.egg_id is not None and weighed.egg_id not in eggs:
            yield one.fault("weighed", f"there is no egg {weighed.egg_id} in eggs.csv")
