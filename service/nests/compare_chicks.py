"""Rings and fates of chicks in a check against the chicks that are known. Pure."""

from collections import Counter
from collections.abc import Iterator

from service.nests.nest import Chick, ChickFate, ChickGone, Clutch, NestCheck
from service.nests.question import SURE, Question, QuestionKind


def ask_about_chicks(
    check: NestCheck, before: Clutch, hatched: tuple[int, ...]
) -> tuple[Question, ...]:
    """Questions about chicks that are unknown, gone, or ringed otherwise.

    ``hatched`` are the eggs that hatched by this look.
    """
    known = {chick.egg_number: chick for chick in before.chicks}
    return (
        *_fates(check, known, hatched),
        *_rings(check, known, hatched),
    )


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


def _rings(
    check: NestCheck, known: dict[int, Chick], hatched: tuple[int, ...]
) -> Iterator[Question]:
    worn = {chick.ring: number for number, chick in known.items() if chick.ring}
    for ringed in check.ringed:
        number, ring = ringed.egg_number, ringed.ring.strip()
        chick = known.get(number)
        if chick is None and number not in hatched:
            yield _unknown(number, f"No chick hatched from egg {number}.")
        elif chick is not None and chick.fate not in (None, ChickFate.FLEDGED):
            yield _unknown(number, f"Chick {number} is known as {chick.fate} already.")
        elif not ring:
            yield _ring(number, f"What is on the ring of chick {number}?")
        elif worn.get(ring, number) != number:
            yield _ring(number, f"Ring {ring} is on chick {worn[ring]}. Which ring has {number}?")
        elif chick is not None and chick.ring not in (None, ring) and not check.sure:
            sentence = f"Chick {number} wears ring {chick.ring}. Does it wear {ring} now?"
            yield _ring(number, sentence, sure=True)
        worn.setdefault(ring, number)


def _ring(number: int, sentence: str, *, sure: bool = False) -> Question:
    return Question(
        kind=QuestionKind.RING,
        sentence=sentence,
        numbers=(number,),
        choices=(SURE,) if sure else (),
    )


def _unknown(number: int, sentence: str) -> Question:
    return Question(
        kind=QuestionKind.UNKNOWN_CHICK,
        sentence=f"{sentence} Which one did you mean?",
        numbers=(number,),
    )
