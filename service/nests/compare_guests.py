"""What a check tells of eggs and chicks of other pairs, against what is known of them. Pure."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from service.nests.book_says import BookSays, upper
from service.nests.nest import ChickFate, EggFate, Guest, GuestSeen, Nest, NestCheck
from service.nests.question import Question, QuestionKind


@dataclass(frozen=True, slots=True, kw_only=True)
class GuestsTold:
    """Ids of eggs, by what became of them; ``eggs`` and ``chicks`` are those known before."""

    eggs: frozenset[int]
    chicks: frozenset[int]
    hatched: frozenset[int]
    lost: frozenset[int]
    gone: frozenset[int]
    unseen: frozenset[int]

    @property
    def eggs_open(self) -> frozenset[int]:
        """Eggs of which the check tells nothing that takes them out of the count."""
        return self.eggs - self.hatched - self.lost - self.unseen

    @property
    def chicks_open(self) -> frozenset[int]:
        """Chicks, those that hatched by this look among them, that are not told to be gone."""
        return (self.chicks | self.hatched) - self.gone


def guests_told(check: NestCheck, nest: Nest) -> GuestsTold:
    """What the check says of each guest that is in the box."""
    eggs = frozenset(guest.egg.id for guest in nest.guests if guest.egg.fate is None)
    chicks = frozenset(
        guest.egg.id for guest in nest.guests if guest.chick and guest.chick.fate is None
    )
    hatched = frozenset(seen.egg_id for seen in check.guests if hatches(seen)) & eggs
    gone = frozenset(seen.egg_id for seen in check.guests if seen.gone is not None)
    return GuestsTold(
        eggs=eggs,
        chicks=chicks,
        hatched=hatched,
        lost=frozenset(seen.egg_id for seen in check.guests if loses(seen)) & eggs,
        gone=gone & (chicks | hatched),
        unseen=frozenset(seen.egg_id for seen in check.guests if seen.not_in_sight) & eggs,
    )


def hatches(seen: GuestSeen) -> bool:
    """Said outright, or by a ring or a fate of the chick (of one that was an egg till now)."""
    if seen.lost not in (None, EggFate.HATCHED):
        return False
    return seen.hatched or seen.lost is EggFate.HATCHED or bool(seen.ring or seen.gone)


def loses(seen: GuestSeen) -> bool:
    """Whether the egg is no longer to be counted on."""
    return seen.lost not in (None, EggFate.HATCHED)


def ask_about_guests(check: NestCheck, nest: Nest, book: BookSays) -> tuple[Question, ...]:
    """Questions about guests that are unknown, told of twice, or have their fate already."""
    here = {guest.egg.id: guest for guest in nest.guests}
    times = Counter(seen.egg_id for seen in check.guests)
    questions: list[Question] = []
    for seen in check.guests:
        guest = here.get(seen.egg_id)
        if guest is None:
            questions.append(_unknown(seen.egg_id, "One of the guests is no longer in this box."))
        elif times[seen.egg_id] > 1:
            sentence = f"{upper(book.guest(guest))} is told of twice. What became of it?"
            questions.append(_twice(seen.egg_id, sentence))
        else:
            questions.extend(_ask_about(seen, guest, book))
    return tuple(questions)


def _ask_about(seen: GuestSeen, guest: Guest, book: BookSays) -> Iterator[Question]:
    words = upper(book.guest(guest))
    of_egg = (seen.candled, seen.lost, seen.hatched or None, seen.not_in_sight or None)
    if guest.egg.fate is not None and any(told is not None for told in of_egg):
        yield _unknown(guest.egg.id, f"{words} is known as {guest.egg.fate} already.")
    elif loses(seen) + (seen.hatched or bool(seen.ring or seen.gone)) + seen.not_in_sight > 1:
        yield _twice(guest.egg.id, f"{words} is told of twice. What became of it?")
    elif (seen.ring or seen.gone) and not _may_go_on(guest, seen):
        known = guest.chick.fate if guest.chick else guest.egg.fate
        yield _unknown(guest.egg.id, f"{words} is known as {known} already.")


def _may_go_on(guest: Guest, seen: GuestSeen) -> bool:
    """Whether the story of a chick goes on: it is here, hatches now, or is out of the box."""
    if guest.chick is None:
        return guest.egg.fate is None
    if guest.chick.fate is ChickFate.FLEDGED:
        return seen.gone is not ChickFate.FLEDGED
    return guest.chick.fate is None


def _twice(egg_id: int, sentence: str) -> Question:
    return Question(kind=QuestionKind.TOLD_TWICE, sentence=sentence, guests=(egg_id,))


def _unknown(egg_id: int, sentence: str) -> Question:
    return Question(
        kind=QuestionKind.UNKNOWN_EGG,
        sentence=f"{sentence} Which one did you mean?",
        guests=(egg_id,),
    )
