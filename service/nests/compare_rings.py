"""Rings that a check tells of, against each other and against the whole book. Pure."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.nests.book_says import BookSays, upper
from service.nests.nest import Chick, Clutch, Nest, NestCheck
from service.nests.question import SURE, Question, QuestionKind


@dataclass(frozen=True, slots=True, kw_only=True)
class _Put:
    """A ring that goes on a chick. ``egg_id`` is 0 for one whose egg the book has not yet."""

    ring: str
    words: str
    egg_id: int
    chick: Chick | None
    number: int | None = None


def ask_about_rings(
    check: NestCheck, before: Clutch, nest: Nest, book: BookSays
) -> tuple[Question, ...]:
    """A ring is on one chick or bird of the book, and a chick wears one ring."""
    questions = []
    told: dict[str, _Put] = {}
    for put in (*_own(check, before), *_of_guests(check, nest, book)):
        earlier = told.setdefault(put.ring, put)
        if not put.ring:
            questions.append(_ask(put, f"What is on the ring of {put.words}?"))
        elif earlier is not put:
            questions.append(_worn(put, earlier.words))
        elif (worn := book.worn_elsewhere(put.ring, put.egg_id)) is not None:
            questions.append(_worn(put, worn.wearer))
        elif put.chick and put.chick.ring not in (None, put.ring) and not check.sure:
            sentence = (
                f"{upper(put.words)} wears ring {put.chick.ring}. Does it wear {put.ring} now?"
            )
            questions.append(_ask(put, sentence, sure=True))
    return tuple(questions)


def told_rings(check: NestCheck) -> frozenset[str]:
    """Every ring that the check tells of."""
    own = {ringed.ring.strip() for ringed in check.ringed}
    return frozenset(own | {seen.ring.strip() for seen in check.guests if seen.ring})


def _own(check: NestCheck, before: Clutch) -> Iterator[_Put]:
    chicks = {chick.egg_number: chick for chick in before.chicks}
    ids = {egg.number: egg.id for egg in before.eggs}
    for ringed in check.ringed:
        number = ringed.egg_number
        yield _Put(
            ring=ringed.ring.strip(),
            words=f"chick {number}",
            egg_id=ids.get(number, 0),
            chick=chicks.get(number),
            number=number,
        )


def _of_guests(check: NestCheck, nest: Nest, book: BookSays) -> Iterator[_Put]:
    here = {guest.egg.id: guest for guest in nest.guests}
    for seen in check.guests:
        guest = here.get(seen.egg_id)
        if guest is not None and seen.ring is not None:
            yield _Put(
                ring=seen.ring.strip(),
                words=f"chick {guest.egg.number} of {book.home(guest)}",
                egg_id=guest.egg.id,
                chick=guest.chick,
            )


def _worn(put: _Put, wearer: str) -> Question:
    return _ask(put, f"Ring {put.ring} is on {wearer}. Which ring has {put.words}?")


def _ask(put: _Put, sentence: str, *, sure: bool = False) -> Question:
    return Question(
        kind=QuestionKind.RING,
        sentence=sentence,
        numbers=() if put.number is None else (put.number,),
        guests=() if put.number is not None else (put.egg_id,),
        choices=(SURE,) if sure else (),
    )
