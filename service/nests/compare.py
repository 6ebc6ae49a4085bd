"""A keeper's check against the nest's history: what changed, or what to ask. Pure.

The check says what lies there at the end of the look: own eggs that were not moved away, and
guests. With E eggs and C chicks known before, N new eggs, and named or inferred H hatched,
L lost, U that must lie there and are not in sight, and G gone,

    eggs = E + N - H - L - U        chicks = C + H - G.

Two sums for two unknowns, N and H: so a miscount shows, and is asked about, whenever it
would need an egg that vanished or a chick from nowhere. Nothing is guessed where two
readings are possible.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo

from service.nests.book_says import BookSays
from service.nests.compare_chicks import ask_about_chicks
from service.nests.compare_clear import ask_about_clear_eggs
from service.nests.compare_counts import Reckoned, reckon
from service.nests.compare_guests import ask_about_guests, guests_told
from service.nests.compare_names import ask_about_names
from service.nests.compare_rings import ask_about_rings
from service.nests.compare_weights import ask_about_weights
from service.nests.guests import lying_at_home
from service.nests.nest import Clutch, Move, Nest, NestCheck
from service.nests.next_round import as_guests, overlap
from service.nests.outcome import write_outcome
from service.nests.outcome_guests import guests_after
from service.nests.question import Question, QuestionKind
from service.nests.species import SpeciesSettings

CLOCKS_MAY_DIFFER_BY = timedelta(minutes=5)
A_SEASON_ENDS_AFTER = timedelta(days=182)
NO_MORE = BookSays()


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """Either questions, or the clutch as it stands after the check (id 0 for new rows; None
    where no egg was ever laid) with what changed in short sentences. ``others`` are the
    clutches of guests of which something became known. ``kept_as`` is how the book keeps the
    look where it began the next round over the young of the last; None: as it was told.
    """

    clutch: Clutch | None = None
    others: tuple[Clutch, ...] = ()
    changes: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
    kept_as: NestCheck | None = None


def compare(
    check: NestCheck,
    nest: Nest,
    species: SpeciesSettings,
    *,
    now: datetime,
    zone: tzinfo = UTC,
    book: BookSays = NO_MORE,
) -> Outcome:
    """What this look changes in the nest, or what has to be asked first.

    ``nest`` is as it stood before the look, ``zone`` the shed's, for words only; ``book`` holds
    the rings that the check tells and are worn already.
    """
    questions = ask_about_time(check, nest, now, zone)
    if questions:
        return Outcome(questions=questions)
    begun = overlap(check, nest, species)
    if begun is None:
        return _compare(check, nest, species, zone, book)
    outcome = _compare(begun.check, begun.nest, species, zone, book)
    if outcome.questions:
        return Outcome(questions=tuple(map(begun.as_asked, outcome.questions)))
    told = any(clutch.id == begun.over.id for clutch in outcome.others)
    others = outcome.others if told else (begun.over, *outcome.others)
    return replace(outcome, others=others, kept_as=as_guests(check, begun.over))


def _compare(
    check: NestCheck, nest: Nest, species: SpeciesSettings, zone: tzinfo, book: BookSays
) -> Outcome:
    before = _clutch_before(check, nest, species)
    questions = (
        *ask_about_names(check, before, book),
        *ask_about_guests(check, nest, book),
        *ask_about_weights(check, nest),
    )
    if questions:
        return Outcome(questions=questions)
    reckoned = reckon(check, before, nest, species)
    questions = (
        *reckoned.questions,
        *ask_about_chicks(check, before, reckoned.hatched),
        *ask_about_rings(check, before, nest, book),
        *ask_about_clear_eggs(check, before, nest, reckoned.hatched, book=book, zone=zone),
    )
    if not questions:
        questions = _ask_about_pair(reckoned, nest, before)
    if questions:
        return Outcome(questions=questions)
    clutch, changes = write_outcome(check, before, reckoned, nest, species)
    others, told = guests_after(check, nest, book)
    return Outcome(clutch=clutch, others=others, changes=(*changes, *told))


def ask_about_time(
    check: NestCheck, nest: Nest, now: datetime, zone: tzinfo
) -> tuple[Question, ...]:
    """Looks and moves are taken in their order, and none before it was."""
    told = f"{check.at.astimezone(zone):%d.%m.%Y %H:%M}"
    if check.at > now + CLOCKS_MAY_DIFFER_BY:
        sentence = f"{told} is still to come. When did you look?"
        return (Question(kind=QuestionKind.NOT_YET, sentence=sentence),)
    if nest.checks and check.at < nest.checks[-1].at:
        last = f"{nest.checks[-1].at.astimezone(zone):%d.%m.%Y %H:%M}"
        sentence = (
            f"The last look was on {last}, this one is told for {told}: the book takes looks in "
            "their order. Enter this one as of now, with a note of when it was; or put its time "
            "right."
        )
        return (Question(kind=QuestionKind.OLDER, sentence=sentence),)
    moved = max((move.at for move in _moves(nest)), default=None)
    if moved is not None and check.at < moved:
        last = f"{moved.astimezone(zone):%d.%m.%Y %H:%M}"
        sentence = (
            f"An egg or chick was moved on {last}, and this look is told for {told}: the book "
            "takes both in their order. Enter this one as of now, or put its time right."
        )
        return (Question(kind=QuestionKind.OLDER, sentence=sentence),)
    return ()


def _moves(nest: Nest) -> Iterator[Move]:
    """Into this box and out of it, as far as the nest shows."""
    eggs = [*(nest.clutch.eggs if nest.clutch else ()), *(guest.egg for guest in nest.guests)]
    for egg in eggs:
        yield from (move for move in egg.moves if nest.box.id in (move.from_box, move.to_box))


def _clutch_before(check: NestCheck, nest: Nest, species: SpeciesSettings) -> Clutch:
    """The open clutch; else the last one where nothing new lies there; else an empty one."""
    last = nest.clutch
    if last is not None and (
        last.closed_at is None or not _something_new(check, last, nest, species)
    ):
        return last
    pair_id = nest.pair.id if nest.pair else 0
    return Clutch(id=0, box=nest.box.id, pair_id=pair_id, round=_round(check, last, pair_id))


def _something_new(check: NestCheck, last: Clutch, nest: Nest, species: SpeciesSettings) -> bool:
    """Eggs after the last clutch; chicks only when others can have hatched since."""
    if check.lost or check.hatched or last.closed_at is None:
        return True
    guests = guests_told(check, nest)
    if check.eggs > len(guests.eggs_open) + len(lying_at_home(last)):
        return True
    since = check.at - last.closed_at
    others = check.chicks > len(guests.chicks_open) + len(guests.eggs_open)
    return others and since.days >= species.hatch_after_sitting.least


def _round(check: NestCheck, last: Clutch | None, pair_id: int) -> int:
    """The next round of the same pair, or the first of a season."""
    if last is None or last.pair_id != pair_id or last.closed_at is None:
        return 1
    return last.round + 1 if check.at - last.closed_at < A_SEASON_ENDS_AFTER else 1


def _ask_about_pair(reckoned: Reckoned, nest: Nest, before: Clutch) -> tuple[Question, ...]:
    if before.id or nest.pair or not reckoned.new_eggs:
        return ()
    sentence = f"No pair is put up at {nest.box.name}. Whose eggs are these? Put the pair up first."
    return (Question(kind=QuestionKind.NO_PAIR, sentence=sentence),)
