"""The walk of a nest check, from the keeper's form to the page that answers it.

    form -> compared with the nest's history -> stored once per form id
         -> due dates reckoned anew -> handed back for the page

What the check and the history don't agree on is asked first; nothing is stored then, and the
form is sent again, under the same id, with the answer in it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, tzinfo

from service.clock import Clock
from service.errors import StoreUnavailableError
from service.nests.book_says import BookSays
from service.nests.compare import compare
from service.nests.compare_rings import told_rings
from service.nests.due import Due
from service.nests.due_dates import due_dates
from service.nests.nest import Nest, NestCheck
from service.nests.next_round import as_guests
from service.nests.question import Question
from service.store.nest_book import ChangedMeanwhileError, NestBook

TRIES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """The check is in the book. ``already`` says that it was before this form came;
    ``differs`` that the form said something else the first time, which is what stands.
    """

    nest: Nest
    changes: tuple[str, ...]
    dues: tuple[Due, ...]
    already: bool = False
    differs: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Nothing was stored; ``nest`` is as it stood."""

    nest: Nest
    questions: tuple[Question, ...]


class NestCheckPath:
    """Takes checks of any box; safe to call from several threads and processes at once."""

    def __init__(
        self, nest_book: NestBook, clock: Clock, zone: Callable[[], tzinfo] = lambda: UTC
    ) -> None:
        """``zone`` gives the shed's zone as it is now: it may be changed on a page."""
        self._book = nest_book
        self._clock = clock
        self._zone = zone

    def record(self, check: NestCheck) -> Recorded | Asked:
        """Walk the path with one check.

        Raises:
            NotKnownError: no box of that id.
            StoreUnavailableError: nothing was stored; send the form again.
        """
        for _ in range(TRIES):
            try:
                return self._walk(check)
            except ChangedMeanwhileError:
                continue
        raise StoreUnavailableError(f"{check.box} is written to from too many sides at once")

    def _walk(self, check: NestCheck) -> Recorded | Asked:
        nest = self._book.nest(check.box)
        if self._book.check(str(check.form_id)) is not None:
            return self._recorded(check, already=True)
        species = self._book.species()
        outcome = compare(
            check, nest, species, now=self._clock.now(), zone=self._zone(), book=self._says(check)
        )
        if outcome.questions:
            return Asked(nest=nest, questions=outcome.questions)
        new = self._book.record(
            outcome.kept_as or check,
            outcome.clutch,
            others=outcome.others,
            changes=outcome.changes,
            based_on=nest.revision,
        )
        return self._recorded(check, already=not new)

    def _says(self, check: NestCheck) -> BookSays:
        names = {place.id: place.name for place in self._book.places()}
        return BookSays(names=names, rings=self._book.rings_worn(told_rings(check)))

    def _recorded(self, check: NestCheck, *, already: bool) -> Recorded:
        nest = self._book.nest(check.box)
        form_id = str(check.form_id)
        return Recorded(
            nest=nest,
            changes=self._book.changes(form_id),
            dues=due_dates(nest, self._book.species(), self._clock.now(), self._zone()),
            already=already,
            differs=already and self._book.check(form_id) not in _kept_as(check, nest),
        )


def _kept_as(check: NestCheck, nest: Nest) -> tuple[NestCheck, ...]:
    """How the book may keep this look: as it was told, or as the first of the next round."""
    over = nest.before
    if over is None or over.closed_at != check.at:
        return (check,)
    return (check, as_guests(check, over))
