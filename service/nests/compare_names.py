"""Do the eggs that a check names exist, and is one story told of each? Pure."""

from collections import Counter
from collections.abc import Collection, Iterator

from service.nests.book_says import BookSays
from service.nests.guests import at_home, lying_at_home
from service.nests.nest import ChickFate, Clutch, Egg, EggFate, Nest, NestCheck
from service.nests.question import Question, QuestionKind


def named_hatched(check: NestCheck, before: Clutch, nest: Nest) -> frozenset[int]:
    """Eggs that the keeper says hatched, wherever on the form it was said.

    A ring on the chick of an egg that lay there, or a fate of it, says so too; at the first
    look at a clutch any egg may have lain there.
    """
    said = {*check.hatched, *(egg.number for egg in check.lost if egg.fate is EggFate.HATCHED)}
    of_chicks = named_chicks(check) - named_lost(check).keys()
    if before.eggs:
        lying = {egg.number for egg in lying_at_home(before)}
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


def ask_about_names(check: NestCheck, before: Clutch, book: BookSays) -> tuple[Question, ...]:
    """Questions about names alone; numbers after the last known egg may be new eggs."""
    known = {egg.number: egg for egg in before.eggs}
    named = [*check.hatched, *(egg.number for egg in check.lost)]
    candled = {egg.number for egg in check.candled}
    weighed = {egg.egg_number for egg in check.weighed if egg.egg_id is None}
    questions = []
    for number in sorted({*named, *candled, *check.not_in_sight, *weighed}):
        egg = known.get(number)
        fate_told = number in {*named, *candled, *check.not_in_sight}
        if number < 1:
            questions.append(_unknown(number, f"There is no egg {number}."))
        elif egg is not None and not at_home(egg, before):
            questions.append(_is_away(egg, before, book))
        elif egg is not None and egg.fate is not None and fate_told:
            questions.append(_unknown(number, f"Egg {number} is known as {egg.fate} already."))
    questions += _unseen_of_which_more_is_told(check, known)
    for number, times in Counter(named).items():
        if times > 1:
            questions.append(_told_twice(number))
    return tuple(questions)


def _unseen_of_which_more_is_told(check: NestCheck, known: Collection[int]) -> Iterator[Question]:
    """What is not in sight can't have been looked at; and it must have been known before."""
    seen = {*check.hatched, *(egg.number for egg in check.lost)}
    seen |= {egg.number for egg in check.candled} | named_chicks(check)
    seen |= {egg.egg_number for egg in check.weighed if egg.egg_id is None}
    for number, times in Counter(check.not_in_sight).items():
        if number >= 1 and number not in known:
            yield _unknown(number, f"No egg {number} was seen before.")
        elif times > 1 or number in seen:
            yield _told_twice(number)


def _is_away(egg: Egg, before: Clutch, book: BookSays) -> Question:
    where = book.name(egg.box(before.box))
    return Question(
        kind=QuestionKind.UNKNOWN_EGG,
        sentence=(
            f"Egg {egg.number} was moved into {where}. Tell what became of it there; "
            "which one of this box did you mean?"
        ),
        numbers=(egg.number,),
    )


def _told_twice(number: int) -> Question:
    sentence = f"Egg {number} is told of twice. What became of it?"
    return Question(kind=QuestionKind.TOLD_TWICE, sentence=sentence, numbers=(number,))


def ask_about_numbers(
    check: NestCheck, hatched: Collection[int], last: int
) -> tuple[Question, ...]:
    """Questions about numbers after ``last``, the last egg of which there is any sign.

    ``hatched`` are those that ``named_hatched`` found.
    """
    named = {*hatched, *(egg.number for egg in check.lost)}
    named |= {egg.number for egg in check.candled}
    named |= {egg.egg_number for egg in check.weighed if egg.egg_id is None}
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
