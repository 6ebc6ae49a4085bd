"""Does a book agree with itself, with the shed's places and with the calendar? Pure.

The same contradictions that are refused on pages are found here, in the rows of the files.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, tzinfo

from service.book.errors import Fault, in_order
from service.book.left_out import LeftOut
from service.book.located import LocatedBook
from service.book.sound_birds import faulty_birds
from service.book.sound_clutches import faulty_clutches
from service.book.sound_looks import faulty_looks
from service.book.sound_pairs import faulty_pairs
from service.book.sound_references import faulty_references, repeated
from service.book.sound_rest import faulty_rest
from service.book.sound_times import faulty_times
from service.book.sound_values import faulty_values
from service.nests.place import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """What the book is held against; ``zone`` is the shed's."""

    places: Sequence[Place]
    now: datetime
    zone: tzinfo
    left_out: LeftOut = field(default_factory=LeftOut)


def faults_of(book: LocatedBook, around: Surroundings) -> list[Fault]:
    """Every fault, in the order of files and lines."""
    return in_order((*_of_single_rows(book, around), *_contradictions(book, around)))


def first_faults_of(book: LocatedBook, around: Surroundings) -> list[Fault]:
    """Faults of rows by themselves and of rows that speak of none; only without any of those:
    contradictions. So no sound row is blamed for what a bad one says.
    """
    return in_order(_of_single_rows(book, around)) or in_order(_contradictions(book, around))


def _of_single_rows(book: LocatedBook, around: Surroundings) -> Iterator[Fault]:
    yield from repeated(book)
    yield from faulty_references(book, around.places, around.left_out)
    yield from faulty_values(book)
    yield from faulty_times(book, around.now, around.zone)


def _contradictions(book: LocatedBook, around: Surroundings) -> Iterator[Fault]:
    yield from faulty_birds(book)
    yield from faulty_pairs(book)
    yield from faulty_clutches(book, around.left_out)
    yield from faulty_looks(book)
    yield from faulty_rest(book)
