"""Counts of a check against what was to be expected: new eggs, hatched eggs, questions. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from itertools import count, islice

from service.nests.compare_guests import GuestsTold, guests_told
from service.nests.compare_names import (
    ask_about_numbers,
    named_chicks,
    named_hatched,
    named_lost,
)
from service.nests.guests import chicks_at_home, lying_at_home
from service.nests.hatching import hatch_span, may_hatch
from service.nests.laying import most_eggs_between
from service.nests.nest import ChickFate, Clutch, Egg, EggFate, Nest, NestCheck
from service.nests.question import NOT_IN_SIGHT, SURE, Question, QuestionKind
from service.nests.sitting import growth_began, sitting
from service.nests.span import days_in_words
from service.nests.species import SpeciesSettings

# Spans of the species are what is usual; what is a day or two outside is no contradiction.
LEEWAY = timedelta(days=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """``hatched`` are numbers in laying order, among them those of new eggs."""

    new_eggs: int
    hatched: tuple[int, ...]
    questions: tuple[Question, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sum:
    """What was known, what was named, and what the check counts; ``guests`` beside our own."""

    check: NestCheck
    lying: tuple[Egg, ...]
    sitting_there: tuple[int, ...]
    hatched: frozenset[int]
    lost: dict[int, EggFate]
    gone: frozenset[int]
    guests: GuestsTold

    @property
    def eggs_before(self) -> int:
        """Eggs that lay there by the book."""
        return len(self.lying) + len(self.guests.eggs)

    @property
    def chicks_before(self) -> int:
        """Chicks that sat there by the book."""
        return len(self.sitting_there) + len(self.guests.chicks)

    @property
    def hatched_named(self) -> int:
        """How many are named as hatched."""
        return len(self.hatched) + len(self.guests.hatched)

    @property
    def hatched_count(self) -> int:
        """How many eggs hatched, by the count of chicks."""
        gone = len(self.gone) + len(self.guests.gone)
        return self.check.chicks - self.chicks_before + gone

    @property
    def lost_or_unseen(self) -> int:
        """How many of the eggs that were known are told not to lie in sight."""
        unseen = len(self.check.not_in_sight) + len(self.guests.unseen)
        return len(self.lost) + len(self.guests.lost) + unseen

    @property
    def new_eggs(self) -> int:
        """How many eggs were laid, by the count of eggs; negative when some are missing."""
        hatched = max(self.hatched_count, self.hatched_named)
        return self.check.eggs - self.eggs_before + hatched + self.lost_or_unseen

    def still_open(self) -> tuple[Egg, ...]:
        """Own eggs of which the check tells nothing that takes them out of the count."""
        told = {*self.hatched, *self.lost, *self.check.not_in_sight}
        return tuple(egg for egg in self.lying if egg.number not in told)


def last_look_without(nest: Nest, at: datetime) -> datetime | None:
    """The last look before ``at``, else the day the pair was put up; None without both."""
    if nest.checks:
        return nest.checks[-1].at
    if nest.pair is None:
        return None
    # A day of the shed's calendar may begin before that of UTC.
    return min(at, datetime.combine(nest.pair.put_up_on, time(), UTC))


def reckon(check: NestCheck, before: Clutch, nest: Nest, species: SpeciesSettings) -> Reckoned:
    """Solve the two sums; a question for each that has no plausible answer."""
    known = _sum(check, before, nest)
    hatched, questions = _hatched(known, before, nest, species)
    questions += _fewer_chicks(known, nest)
    questions += _fewer_eggs(known, nest)
    new_eggs = max(known.new_eggs, 0)
    questions += ask_about_numbers(check, known.hatched, len(before.eggs) + new_eggs)
    if not questions and not check.sure:
        questions += _more_eggs(new_eggs, check, nest, species)
        questions += _too_early(hatched, check, before, nest, species)
        questions += _guests_too_early(known.guests, check, nest, species)
    return Reckoned(new_eggs=new_eggs, hatched=hatched, questions=questions)


def _sum(check: NestCheck, before: Clutch, nest: Nest) -> _Sum:
    hatched = named_hatched(check, before, nest)
    in_box = tuple(chick.egg_number for chick in chicks_at_home(before))
    told_gone = {chick.egg_number for chick in check.gone}
    return _Sum(
        check=check,
        lying=lying_at_home(before),
        sitting_there=in_box,
        hatched=hatched,
        lost=named_lost(check),
        gone=frozenset(told_gone & {*in_box, *hatched}),
        guests=guests_told(check, nest),
    )


def _hatched(
    known: _Sum, before: Clutch, nest: Nest, species: SpeciesSettings
) -> tuple[tuple[int, ...], tuple[Question, ...]]:
    unnamed = known.hatched_count - known.hatched_named
    if unnamed <= 0:
        return tuple(sorted(known.hatched)), ()
    if not before.eggs and not known.guests.eggs_open:
        # The book begins with this look: chicks come from the first eggs. A chick that is
        # named and not counted as hatched is asked about, so none may be taken for it.
        taken = {*known.hatched, *known.lost, *named_chicks(known.check)}
        free = (number for number in count(1) if number not in taken)
        return tuple(sorted([*known.hatched, *islice(free, unnamed)])), ()
    candidates = known.still_open()
    if len(candidates) + len(known.guests.eggs_open) < unnamed:
        return (), (_more_chicks(known),)
    found = None
    if known.new_eggs == 0 and _one_hen_sat_on_all(candidates, known.guests):
        found = _only_reading(candidates, unnamed, known.check.at, nest, species)
    if found is None:
        return (), (_which_hatched(candidates, known.guests, unnamed),)
    return tuple(sorted([*known.hatched, *found])), ()


def _one_hen_sat_on_all(candidates: tuple[Egg, ...], guests: GuestsTold) -> bool:
    """What came from, or was in, another box may be ahead of the others or behind."""
    return not guests.eggs_open and not any(egg.moves for egg in candidates)


def _only_reading(
    candidates: tuple[Egg, ...], wanted: int, at: datetime, nest: Nest, species: SpeciesSettings
) -> tuple[int, ...] | None:
    """The eggs that must have hatched, or None where others might have instead."""
    began = sitting(nest, species)
    if began is None:
        return None
    ready = [
        egg
        for egg in candidates
        if may_hatch(egg) and hatch_span(egg, began, species).since <= at + LEEWAY
    ]
    if len(ready) < wanted:
        return None
    ready.sort(key=lambda egg: (growth_began(egg, began).since, egg.number))
    first, rest = ready[:wanted], ready[wanted:]
    last_begun = max(growth_began(egg, began).until for egg in first)
    if any(growth_began(egg, began).since < last_begun for egg in rest):
        return None
    # Two that began to grow at one instant (both waited for the hen) have no order.
    if any(growth_began(egg, began) in [growth_began(one, began) for one in first] for egg in rest):
        return None
    return tuple(egg.number for egg in first)


def _which_hatched(candidates: tuple[Egg, ...], guests: GuestsTold, wanted: int) -> Question:
    if wanted == 1:
        sentence = "1 chick more than last time. Which egg hatched?"
    else:
        sentence = f"{wanted} chicks more than last time. Which eggs hatched?"
    return Question(
        kind=QuestionKind.WHICH_HATCHED,
        sentence=sentence,
        numbers=tuple(egg.number for egg in candidates),
        guests=tuple(sorted(guests.eggs_open)),
        choices=(EggFate.HATCHED,),
        how_many=wanted,
    )


def _more_chicks(known: _Sum) -> Question:
    there = known.chicks_before - len(known.gone) - len(known.guests.gone)
    candidates = len(known.still_open()) + len(known.guests.eggs_open)
    most = there + known.hatched_named + candidates
    sentence = (
        f"{_count(known.check.chicks, 'chick')} now, "
        f"and there can't be more than {most}. How many are there?"
    )
    return Question(kind=QuestionKind.MORE_CHICKS, sentence=sentence)


def _fewer_chicks(known: _Sum, nest: Nest) -> tuple[Question, ...]:
    missing = known.hatched_named - known.hatched_count
    if missing <= 0:
        return ()
    before = known.chicks_before
    when = _when(before, (check.chicks for check in nest.checks[-1:]))
    told = [f"{_count(before, 'chick')} {when}"]
    if known.hatched_named:
        told.append(f"{known.hatched_named} hatched")
    gone = len(known.gone) + len(known.guests.gone)
    if gone:
        told.append(f"{gone} accounted for")
    question = Question(
        kind=QuestionKind.FEWER_CHICKS,
        sentence=f"{', '.join(told)}, {known.check.chicks} now. {_what_became(missing)}",
        numbers=tuple(sorted({*known.sitting_there, *known.hatched} - known.gone)),
        guests=tuple(sorted(known.guests.chicks_open)),
        choices=tuple(ChickFate),
        how_many=missing,
    )
    return (question,)


def _fewer_eggs(known: _Sum, nest: Nest) -> tuple[Question, ...]:
    missing = -known.new_eggs
    if missing <= 0:
        return ()
    before = known.eggs_before
    told = [f"{_count(before, 'egg')} {_when(before, (look.eggs for look in nest.checks[-1:]))}"]
    accounted = known.lost_or_unseen + max(known.hatched_count, known.hatched_named)
    if accounted:
        told.append(f"{accounted} accounted for")
    question = Question(
        kind=QuestionKind.FEWER_EGGS,
        sentence=f"{', '.join(told)}, {known.check.eggs} now. {_what_became(missing)}",
        numbers=tuple(egg.number for egg in known.still_open()),
        guests=tuple(sorted(known.guests.eggs_open)),
        choices=(*EggFate, NOT_IN_SIGHT),
        how_many=missing,
    )
    return (question,)


def _when(known: int, counted: Iterable[int]) -> str:
    """Whether the number is that of the last look, or became what it is by something else."""
    return "last time" if known in counted else "by the book"


def _more_eggs(
    new_eggs: int, check: NestCheck, nest: Nest, species: SpeciesSettings
) -> tuple[Question, ...]:
    since = last_look_without(nest, check.at)
    usual = species.next_egg_after_egg
    if since is None or new_eggs <= most_eggs_between(since, check.at, usual):
        return ()
    sentence = (
        f"{_count(new_eggs, 'new egg')} since the last look, "
        f"and a hen lays one in {days_in_words(usual)}. Is it so?"
    )
    return (Question(kind=QuestionKind.MORE_EGGS, sentence=sentence, choices=(SURE,)),)


def _too_early(
    hatched: tuple[int, ...],
    check: NestCheck,
    before: Clutch,
    nest: Nest,
    species: SpeciesSettings,
) -> tuple[Question, ...]:
    laid_from = {egg.number: egg.laid_from for egg in before.eggs}
    new_since = last_look_without(nest, check.at)
    questions = []
    for number in hatched:
        since = laid_from.get(number, new_since)
        sentence = _how_early(f"Egg {number}", since, check, species)
        if sentence is not None:
            questions.append(
                Question(
                    kind=QuestionKind.TOO_EARLY,
                    sentence=sentence,
                    numbers=(number,),
                    choices=(SURE,),
                )
            )
    return tuple(questions)


def _guests_too_early(
    told: GuestsTold, check: NestCheck, nest: Nest, species: SpeciesSettings
) -> tuple[Question, ...]:
    questions = []
    for guest in nest.guests:
        if guest.egg.id not in told.hatched:
            continue
        words = f"The guest, its pair's egg {guest.egg.number},"
        sentence = _how_early(words, guest.egg.laid_from, check, species)
        if sentence is not None:
            questions.append(
                Question(
                    kind=QuestionKind.TOO_EARLY,
                    sentence=sentence,
                    guests=(guest.egg.id,),
                    choices=(SURE,),
                )
            )
    return tuple(questions)


def _how_early(
    egg: str, since: datetime | None, check: NestCheck, species: SpeciesSettings
) -> str | None:
    usual = species.hatch_after_sitting
    if since is None or check.at - since >= timedelta(days=usual.least) - LEEWAY:
        return None
    days = (check.at - since) / timedelta(days=1)
    return (
        f"{egg} can't be older than {_count(int(days), 'day')}, "
        f"and eggs hatch after {days_in_words(usual)}. Is it so?"
    )


def _what_became(missing: int) -> str:
    return f"What became of the other{'' if missing == 1 else f' {missing}'}?"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
