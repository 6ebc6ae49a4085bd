"""Do the eggs that a check names exist, and is one story told of each? Pure."""

from collections import Counter
from collections.abc import Collection

from service.nests.nest import ChickFate, Clutch, EggFate, Nest, NestCheck
from service.nests.question import Question, QuestionKind


def named_hatched(check: NestCheck, before: Clutch, nest: Nest) -> frozenset[int]:
    """Eggs that the keeper says hatched, wherever on the form it was said.

    A ring on the chick of an egg that lay there, or a fate of it, says so too; at the first
    look at a clutch any egg may have lain there.
    """
    said = {*check.hatched, *(egg.number for egg in check.lost if egg.fate is EggFate.HATCHED)}
    of_chicks = named_chicks(check) - named_lost(check).keys()
    if before.eggs:
        lying = {egg.number for egg in before.eggs if egg.fate is None}
        return frozenset(said | (of_chicks & lying))
    possible = {number for number in of_chicks if number > 0}
    return frozenset(said | (possible - _still_outside(nest)))


def named_chicks(check: NestCheck) -> frozenset[int]:
    """Chicks (by their egg's number) that the keeper says are ringed or gone."""
    ringed = {chick.egg_number for chick in check.ringed}
    return frozenset(ringed | {chick.egg_number for chick in check.gone})


def _still_outside(nest: Nest) -> frozenset[int]:
    """Chicks of the last clutch whose story goes on: a number alone may mean one of them."""
    chicks = nest.clutch.chicks if nest.clutch else ()
    return frozenset(chick.egg_number for chick in chicks if chick.fate is ChickFate.FLEDGED)


def named_lost(check: NestCheck) -> dict[int, EggFate]:
    """Eggs that the keeper says are lost, with their fate."""
    return {egg.number: egg.fate for egg in check.lost if egg.fate is not EggFate.HATCHED}


def ask_about_names(check: NestCheck, before: Clutch) -> tuple[Question, ...]:
    """Questions about names alone; numbers after the last known egg may be new eggs."""
    questions = []
    fates = {egg.number: egg.fate for egg in before.eggs}
    named = [*check.hatched, *(egg.number for egg in check.lost)]
    for number in sorted({*named, *(egg.number for egg in check.candled)}):
        fate = fates.get(number)
        if number < 1:
            questions.append(_unknown(number, f"There is no egg {number}."))
        elif fate is not None:
            questions.append(_unknown(number, f"Egg {number} is known as {fate} already."))
    for number, times in Counter(named).items():
        if times > 1:
            sentence = f"Egg {number} is told of twice. What became of it?"
            questions.append(
                Question(kind=QuestionKind.TOLD_TWICE, sentence=sentence, numbers=(number,))
            )
    return tuple(questions)


def ask_about_numbers(
    check: NestCheck, hatched: Collection[int], last: int
) -> tuple[Question, ...]:
    """Questions about numbers after ``last``, the last egg of which there is any sign.

    ``hatched`` are those that ``named_hatched`` found.
    """
    named = {*hatched, *(egg.number for egg in check.lost)}
    named |= {egg.number for egg in check.candled}
    return tuple(
        _unknown(number, f"There is no egg {number}: the last is egg {last}.")
        for number in sorted(named)
        if number > last
    )


def _unknown(number: int, sentence: str) -> Question:
    return Question(
        kind=QuestionKind.UNKNOWN_EGG,
        sentence=f"{sentence} Which one did you mean?",
        numbers=(number,),
    )
