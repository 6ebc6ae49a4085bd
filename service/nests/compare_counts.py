"""Counts of a check against what was to be expected: new eggs, hatched eggs, questions. Pure."""

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from itertools import count, islice

from service.nests.compare_names import (
    ask_about_numbers,
    named_chicks,
    named_hatched,
    named_lost,
)
from service.nests.due_dates import hatch_span, may_hatch
from service.nests.laying import most_eggs_between
from service.nests.nest import ChickFate, Clutch, Egg, EggFate, Nest, NestCheck
from service.nests.question import SURE, Question, QuestionKind
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
    """What was known, what was named, and what the check counts."""

    check: NestCheck
    lying: tuple[Egg, ...]
    sitting_there: tuple[int, ...]
    hatched: frozenset[int]
    lost: dict[int, EggFate]
    gone: frozenset[int]

    @property
    def hatched_count(self) -> int:
        """How many eggs hatched, by the count of chicks."""
        return self.check.chicks - len(self.sitting_there) + len(self.gone)

    @property
    def new_eggs(self) -> int:
        """How many eggs were laid, by the count of eggs; negative when some are missing."""
        hatched = max(self.hatched_count, len(self.hatched))
        return self.check.eggs - len(self.lying) + hatched + len(self.lost)


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
    questions += _fewer_chicks(known)
    questions += _fewer_eggs(known)
    new_eggs = max(known.new_eggs, 0)
    questions += ask_about_numbers(check, known.hatched, len(before.eggs) + new_eggs)
    if not questions and not check.sure:
        questions += _more_eggs(new_eggs, check, nest, species)
        questions += _too_early(hatched, check, before, nest, species)
    return Reckoned(new_eggs=new_eggs, hatched=hatched, questions=questions)


def _sum(check: NestCheck, before: Clutch, nest: Nest) -> _Sum:
    hatched = named_hatched(check, before, nest)
    in_box = tuple(chick.egg_number for chick in before.chicks if chick.fate is None)
    told_gone = {chick.egg_number for chick in check.gone}
    return _Sum(
        check=check,
        lying=tuple(egg for egg in before.eggs if egg.fate is None),
        sitting_there=in_box,
        hatched=hatched,
        lost=named_lost(check),
        gone=frozenset(told_gone & {*in_box, *hatched}),
    )


def _hatched(
    known: _Sum, before: Clutch, nest: Nest, species: SpeciesSettings
) -> tuple[tuple[int, ...], tuple[Question, ...]]:
    unnamed = known.hatched_count - len(known.hatched)
    if unnamed <= 0:
        return tuple(sorted(known.hatched)), ()
    if not before.eggs:
        # The book begins with this look: chicks come from the first eggs. A chick that is
        # named and not counted as hatched is asked about, so none may be taken for it.
        taken = {*known.hatched, *known.lost, *named_chicks(known.check)}
        free = (number for number in count(1) if number not in taken)
        return tuple(sorted([*known.hatched, *islice(free, unnamed)])), ()
    candidates = tuple(
        egg
        for egg in known.lying
        if egg.number not in known.hatched and egg.number not in known.lost
    )
    if len(candidates) < unnamed:
        return (), (_more_chicks(known, len(candidates)),)
    found = None
    if known.new_eggs == 0:
        found = _only_reading(candidates, unnamed, known.check.at, nest, species)
    if found is None:
        return (), (_which_hatched(candidates, unnamed),)
    return tuple(sorted([*known.hatched, *found])), ()


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


def _which_hatched(candidates: tuple[Egg, ...], wanted: int) -> Question:
    if wanted == 1:
        sentence = "1 chick more than last time. Which egg hatched?"
    else:
        sentence = f"{wanted} chicks more than last time. Which eggs hatched?"
    return Question(
        kind=QuestionKind.WHICH_HATCHED,
        sentence=sentence,
        numbers=tuple(egg.number for egg in candidates),
        choices=(EggFate.HATCHED,),
        how_many=wanted,
    )


def _more_chicks(known: _Sum, candidates: int) -> Question:
    most = len(known.sitting_there) + len(known.hatched) - len(known.gone) + candidates
    sentence = (
        f"{_count(known.check.chicks, 'chick')} now, "
        f"and there can't be more than {most}. How many are there?"
    )
    return Question(kind=QuestionKind.MORE_CHICKS, sentence=sentence)


def _fewer_chicks(known: _Sum) -> tuple[Question, ...]:
    missing = len(known.hatched) - known.hatched_count
    if missing <= 0:
        return ()
    told = [f"{_count(len(known.sitting_there), 'chick')} last time"]
    if known.hatched:
        told.append(f"{len(known.hatched)} hatched")
    if known.gone:
        told.append(f"{len(known.gone)} accounted for")
    question = Question(
        kind=QuestionKind.FEWER_CHICKS,
        sentence=f"{', '.join(told)}, {known.check.chicks} now. {_what_became(missing)}",
        numbers=tuple(sorted({*known.sitting_there, *known.hatched} - known.gone)),
        choices=tuple(ChickFate),
        how_many=missing,
    )
    return (question,)


def _fewer_eggs(known: _Sum) -> tuple[Question, ...]:
    missing = -known.new_eggs
    if missing <= 0:
        return ()
    told = [f"{_count(len(known.lying), 'egg')} last time"]
    accounted = len(known.lost) + max(known.hatched_count, len(known.hatched))
    if accounted:
        told.append(f"{accounted} accounted for")
    question = Question(
        kind=QuestionKind.FEWER_EGGS,
        sentence=f"{', '.join(told)}, {known.check.eggs} now. {_what_became(missing)}",
        numbers=tuple(
            egg.number
            for egg in known.lying
            if egg.number not in known.lost and egg.number not in known.hatched
        ),
        choices=tuple(EggFate),
        how_many=missing,
    )
    return (question,)


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
    usual = species.hatch_after_sitting
    laid_from = {egg.number: egg.laid_from for egg in before.eggs}
    new_since = last_look_without(nest, check.at)
    questions = []
    for number in hatched:
        since = laid_from.get(number, new_since)
        if since is None or check.at - since >= timedelta(days=usual.least) - LEEWAY:
            continue
        days = (check.at - since) / timedelta(days=1)
        sentence = (
            f"Egg {number} can't be older than {_count(int(days), 'day')}, "
            f"and eggs hatch after {days_in_words(usual)}. Is it so?"
        )
        questions.append(
            Question(
                kind=QuestionKind.TOO_EARLY, sentence=sentence, numbers=(number,), choices=(SURE,)
            )
        )
    return tuple(questions)


def _what_became(missing: int) -> str:
    return f"What became of the other{'' if missing == 1 else f' {missing}'}?"


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
