"""Rings, fates and masses of chicks in a check against the chicks that are known. Pure."""

from collections import Counter
from collections.abc import Iterator

from service.nests.guests import at_home
from service.nests.nest import Chick, ChickFate, ChickGone, Clutch, NestCheck
from service.nests.question import Question, QuestionKind


def ask_about_chicks(
    check: NestCheck, before: Clutch, hatched: tuple[int, ...]
) -> tuple[Question, ...]:
    """Questions about chicks that are unknown, away, or gone already.

    ``hatched`` are the eggs that hatched by this look.
    """
    known = {chick.egg_number: chick for chick in before.chicks}
    return (
        *_away(check, before),
        *_fates(check, known, hatched),
        *_ringed(check, known, hatched),
        *_weighed(check, known),
    )


def _away(check: NestCheck, before: Clutch) -> Iterator[Question]:
    away = {egg.number for egg in before.eggs if not at_home(egg, before)}
    named = {chick.egg_number for chick in check.gone}
    named |= {chick.egg_number for chick in check.ringed}
    for number in sorted(named & away):
        yield _unknown(number, f"Chick {number} is in another box; tell of it there.")


def _fates(
    check: NestCheck, known: dict[int, Chick], hatched: tuple[int, ...]
) -> Iterator[Question]:
    told = Counter(chick.egg_number for chick in check.gone)
    for gone in check.gone:
        number = gone.egg_number
        if number not in known and number not in hatched:
            yield _unknown(number, f"No chick hatched from egg {number}.")
        elif told[number] > 1:
            yield _unknown(number, f"Chick {number} is told of twice.")
        elif number in known and not _may_follow(known[number].fate, gone):
            yield _unknown(number, f"Chick {number} is known as {known[number].fate} already.")


def _may_follow(before: ChickFate | None, gone: ChickGone) -> bool:
    """Out of the box is not the end of a chick's story; the other fates are."""
    return before is None or (before is ChickFate.FLEDGED and gone.fate is not ChickFate.FLEDGED)


def _ringed(
    check: NestCheck, known: dict[int, Chick], hatched: tuple[int, ...]
) -> Iterator[Question]:
    for ringed in check.ringed:
        number = ringed.egg_number
        chick = known.get(number)
        if chick is None and number not in hatched:
            yield _unknown(number, f"No chick hatched from egg {number}.")
        elif chick is not None and chick.fate not in (None, ChickFate.FLEDGED):
            yield _unknown(number, f"Chick {number} is known as {chick.fate} already.")


def _weighed(check: NestCheck, known: dict[int, Chick]) -> Iterator[Question]:
    for weighed in check.weighed:
        chick = known.get(weighed.egg_number)
        if weighed.egg_id is not None or chick is None:
            continue
        if chick.fate not in (None, ChickFate.FLEDGED):
            number = weighed.egg_number
            yield _unknown(number, f"Chick {number} is known as {chick.fate} already.")


def _unknown(number: int, sentence: str) -> Question:
    return Question(
        kind=QuestionKind.UNKNOWN_CHICK,
        sentence=f"{sentence} Which one did you mean?",
        numbers=(number,),
    )
