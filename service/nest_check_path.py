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
from service.nests.as_seen import ask_about_meanwhile, who_and_when
from service.nests.book_says import BookSays
from service.nests.compare import Outcome, ask_about_time, compare
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What the page had shown from which the check comes: the nest's sign, and its last look's
    form id (empty where there was none).
    """

    sign: str
    last_look: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreseen:
    """What a check would change, or what would be asked; nothing was stored."""

    changes: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
    already: bool = False


class NestCheckPath:
    """Takes checks of any box; safe to call from several threads and processes at once."""

    def __init__(
        self, nest_book: NestBook, clock: Clock, zone: Callable[[], tzinfo] = lambda: UTC
    ) -> None:
        """``zone`` gives the shed's zone as it is now: it may be changed on a page."""
        self._book = nest_book
        self._clock = clock
        self._zone = zone

    def record(self, check: NestCheck, *, seen: Seen | None = None) -> Recorded | Asked:
        """Walk the path with one check.

        ``seen`` is what its page had shown: where the nest is another by now, the keeper is
        told so first. None asks nothing of that kind.

        Raises:
            NotKnownError: no box of that id.
            StoreUnavailableError: nothing was stored; send the form again.
        """
        for _ in range(TRIES):
            try:
                return self._walk(check, seen)
            except ChangedMeanwhileError:
                continue
        raise StoreUnavailableError(f"{check.box} is written to from too many sides at once")

    def foresee(self, check: NestCheck, *, seen: Seen | None = None) -> Foreseen:
        """What ``record`` would say of this check now; nothing is stored.

        Raises:
            NotKnownError: no box of that id.
        """
        nest = self._book.nest(check.box)
        form_id = str(check.form_id)
        if self._book.check(form_id) is not None:
            return Foreseen(changes=self._book.changes(form_id), already=True)
        outcome = self._compared(check, nest, seen)
        return Foreseen(changes=outcome.changes, questions=outcome.questions)

    def _compared(self, check: NestCheck, nest: Nest, seen: Seen | None) -> Outcome:
        now, zone = self._clock.now(), self._zone()
        questions = self._meanwhile(nest, seen)
        if questions:
            return Outcome(questions=(*questions, *ask_about_time(check, nest, now, zone)))
        species, says = self._book.species(), self._says(check)
        return compare(check, nest, species, now=now, zone=zone, book=says)

    def _meanwhile(self, nest: Nest, seen: Seen | None) -> tuple[Question, ...]:
        if seen is None:
            return ()
        since = [
            (who, self._book.changes(form_id))
            for form_id, who in who_and_when(nest, seen.last_look, self._zone())
        ]
        return ask_about_meanwhile(nest, seen.sign, since)

    def _walk(self, check: NestCheck, seen: Seen | None) -> Recorded | Asked:
        nest = self._book.nest(check.box)
        if self._book.check(str(check.form_id)) is not None:
            return self._recorded(check, already=True)
        outcome = self._compared(check, nest, seen)
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
