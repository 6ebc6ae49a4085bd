"""Seasons that meet, spans nobody knows, corrections of what is not there. Pure."""

from collections.abc import Iterator, Mapping
from datetime import date
from itertools import pairwise

from service.book.errors import Fault
from service.book.located import LocatedBook
from service.nests.book_correction import Subject
from service.nests.book_rows import (
    BirdRow,
    ClutchRow,
    CorrectionRow,
    EggRow,
    PairRow,
    SeasonRow,
    SpanRow,
)
from service.nests.correcting import THE_EGG
from service.nests.species import SpeciesSettings
from service.store.sql_nest_rows import species_rows


def faulty_rest(book: LocatedBook) -> Iterator[Fault]:
    """What belongs to no single nest."""
    yield from _seasons(book)
    known = {str(row["name"]) for row in species_rows(SpeciesSettings())}
    for span in book.of(SpanRow):
        if span.row.span not in known:
            words = f"no such span {span.row.span!r}; there are {', '.join(sorted(known))}"
            yield span.fault("span", words)
    yield from _corrections(book)


def _seasons(book: LocatedBook) -> Iterator[Fault]:
    ordered = sorted(book.of(SeasonRow), key=lambda one: (one.row.began_on, one.row.season))
    for before, one in pairwise(ordered):
        if one.row.began_on < (before.row.closed_on or date.max):
            words = f"season {before.row.season} was not closed by then (line {before.line})"
            yield one.fault("began_on", words)


def _corrections(book: LocatedBook) -> Iterator[Fault]:
    """What can't go away again must be there.

    Moves, weighings, and an egg that was miscounted can be taken back; a chick goes when it turns
    out that its egg did not hatch.
    """
    known: Mapping[Subject, set[int]] = {
        Subject.CLUTCH: {one.row.clutch for one in book.of(ClutchRow)},
        Subject.EGG: {one.row.egg for one in book.of(EggRow)} | _taken_back(book),
        Subject.BIRD: {one.row.bird for one in book.of(BirdRow)},
        Subject.PAIR: {one.row.pair for one in book.of(PairRow)},
    }
    for one in book.of(CorrectionRow):
        if one.row.subject_id not in known.get(one.row.subject, {one.row.subject_id}):
            yield one.fault("subject_id", f"there is no {one.row.subject} {one.row.subject_id}")


def _taken_back(book: LocatedBook) -> set[int]:
    rows = (one.row for one in book.of(CorrectionRow))
    return {row.subject_id for row in rows if (row.subject, row.fact) == (Subject.EGG, THE_EGG)}
